import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { encode } from 'uqr';
import * as z from 'zod/mini';
import { Sheet } from '../../parts/Sheet.tsx';

const inviteSchema = z.object({ invite: z.string(), expiresAt: z.number() });

/** A link, also as a code to scan, that lets the same person in on a second device. */
export function SecondDevice(): JSX.Element {
  const [link, setLink] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const ask = async (): Promise<void> => {
    setProblem(null);
    try {
      const response = await fetch('/api/second-device', { method: 'POST' });
      const answer = z.safeParse(inviteSchema, await response.json());
      if (response.ok && answer.success) setLink(`${location.origin}/join#${answer.data.invite}`);
      else setProblem('The base gave no link. Is the session still good?');
    } catch {
      setProblem('The base cannot be reached.');
    }
  };
  return (
    <>
      <div class="row">
        <button type="button" class="act" onClick={() => void ask()}>
          Join with a second device
        </button>
      </div>
      {problem !== null && (
        <p class="reads" data-wrong="true" role="alert">
          {problem}
        </p>
      )}
      {link !== null && (
        <Sheet title="Scan with the second device" onClose={() => setLink(null)}>
          <Code text={link} />
          <p class="second-link">{link}</p>
          <p class="label">It lets you in once, within ten minutes, as yourself. Show it to nobody else.</p>
        </Sheet>
      )}
    </>
  );
}

function Code({ text }: { text: string }): JSX.Element {
  const { data, size } = encode(text, { border: 2 });
  const path = data
    .flatMap((row, y) => row.flatMap((dark, x) => (dark ? [`M${x} ${y}h1v1h-1z`] : [])))
    .join('');
  return (
    <svg viewBox={`0 0 ${size} ${size}`} class="qr" role="img" aria-label="Code of the link">
      <rect width={size} height={size} fill="#fff" />
      <path d={path} fill="#000" shape-rendering="crispEdges" />
    </svg>
  );
}
