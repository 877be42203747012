import type { SocketEvents, SocketLike, WholeBoard } from '@plumbline/replica';

/** What the link asks a browser's WebSocket for. */
export function openSocket(url: string, events: SocketEvents): SocketLike {
  const socket = new WebSocket(url);
  socket.binaryType = 'arraybuffer';
  socket.onopen = () => events.opened();
  socket.onmessage = ({ data }: MessageEvent<unknown>) => {
    // the base sends no text
    if (data instanceof ArrayBuffer) events.received(new Uint8Array(data));
  };
  socket.onclose = ({ code }) => events.closed(code);
  return {
    send: (bytes) => {
      if (socket.readyState === WebSocket.OPEN) socket.send(bytes);
    },
    close: () => socket.close(),
  };
}

/** Fetches the board as the base kept it lately, compressed on the way; `null` where it is not to be had. */
export async function fetchWhole(base: URL, board: string): Promise<WholeBoard | null> {
  const answer = await fetch(new URL(`/api/boards/${encodeURIComponent(board)}/document`, base));
  const epoch = answer.headers.get('x-plumbline-epoch');
  if (!answer.ok || epoch === null) return null;
  return { epoch, update: new Uint8Array(await answer.arrayBuffer()) };
}

/** Where a board's socket is. Without a tab's name it only reads. */
export function socketUrl(base: URL, board: string, tab: string | null): string {
  const scheme = base.protocol === 'https:' ? 'wss:' : 'ws:';
  const query = tab === null ? '' : `?tab=${encodeURIComponent(tab)}`;
  return `${scheme}//${base.host}/sync/${encodeURIComponent(board)}${query}`;
}
