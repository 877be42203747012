import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { pictureQueue } from './queue.ts';
import { pictureAddress } from './sending.ts';

const AGAIN_MS = 20_000;

/**
 * A picture by its hash: from this device where it has it, from the base otherwise. One that is nowhere yet says so,
 * and is looked for again.
 */
export function Picture(props: { hash: string; alt: string; class?: string }): JSX.Element {
  const { hash, alt } = props;
  const desk = useDesk();
  const board = desk.connection.membership.boardId;
  const [source, setSource] = useState<string | null>(null);
  const [missing, setMissing] = useState(false);
  const [round, setRound] = useState(0);
  const isLive = desk.live.link.status.value.kind === 'live';
  useEffect(() => {
    let url: string | null = null;
    let gone = false;
    void pictureQueue()
      .pictureOf(board, hash)
      .then((blob) => {
        if (gone) return;
        url = blob && URL.createObjectURL(blob);
        setSource(url ?? pictureAddress(board, hash));
        setMissing(false);
      });
    return () => {
      gone = true;
      if (url !== null) URL.revokeObjectURL(url);
    };
  }, [board, hash, round]);
  useEffect(() => {
    if (!missing) return;
    const timer = setTimeout(() => setRound(round + 1), AGAIN_MS);
    return () => clearTimeout(timer);
  }, [missing, round]);
  useEffect(() => {
    if (missing && isLive) setRound(round + 1);
  }, [isLive]);
  if (missing) {
    return (
      <span class={`picture-missing ${props.class ?? ''}`} data-picture="missing">
        {isLive
          ? 'Not stored yet: still on the tablet it was added on.'
          : 'Not on this device, and the base is away.'}
      </span>
    );
  }
  return (
    <img
      // an address that failed is asked again only under a new element
      key={round}
      class={props.class}
      src={source ?? undefined}
      alt={alt}
      decoding="async"
      data-picture={source?.startsWith('blob:') ? 'here' : 'base'}
      onError={() => {
        if (source !== null) setMissing(true);
      }}
    />
  );
}
