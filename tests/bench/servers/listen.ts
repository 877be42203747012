import type { AddressInfo } from 'node:net';
import { WebSocket, WebSocketServer } from 'ws';

/** A WebSocket server of this machine alone, with the same settings as the base's. */
export async function listen(): Promise<{ url: string; sockets: WebSocketServer; stop(): Promise<void> }> {
  const sockets = new WebSocketServer({ host: '127.0.0.1', port: 0, maxPayload: 1024 * 1024 });
  await new Promise((resolve) => sockets.once('listening', resolve));
  const address: AddressInfo | string | null = sockets.address();
  if (typeof address !== 'object' || address === null) throw new Error('listening on no port');
  return {
    url: `http://127.0.0.1:${address.port}`,
    sockets,
    stop: async () => {
      for (const socket of sockets.clients) socket.terminate();
      await new Promise((resolve) => sockets.close(resolve));
    },
  };
}

/** Sockets by the room they are in: the path that they asked for. */
export class Rooms {
  readonly #rooms = new Map<string, Set<WebSocket>>();

  enter(room: string, socket: WebSocket): void {
    const members = this.#rooms.get(room) ?? new Set();
    this.#rooms.set(room, members.add(socket));
    socket.on('close', () => members.delete(socket));
    socket.on('error', () => {});
  }

  /** Gives a frame to everybody in the room, its author too. */
  say(room: string, frame: Uint8Array): void {
    for (const socket of this.#rooms.get(room) ?? []) {
      if (socket.readyState === WebSocket.OPEN) socket.send(frame);
    }
  }
}

/** The room that a request asks for. */
export function roomOf(url: string | undefined): string {
  return new URL(url ?? '/', 'http://room').pathname;
}
