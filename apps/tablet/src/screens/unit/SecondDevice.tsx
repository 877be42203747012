import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { encode } from 'uqr';
import * as z from 'zod/mini';
import { Sheet } from '../../parts/Sheet.tsx';
import { waysIn } from './invitation.ts';

const inviteSchema = z.object({
  invite: z.string(),
  expiresAt: z.number(),
  addresses: z._default(z.array(z.string()), []),
});

type Invite = z.infer<typeof inviteSchema>;

/** A link, also as a code to scan, that lets the same person in on a second device. */
export function SecondDevice(): JSX.Element {
  const [invite, setInvite] = useState<Invite | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const ask = async (): Promise<void> => {
    setProblem(null);
    try {
      const response = await fetch('/api/second-device', { method: 'POST' });
      const answer = z.safeParse(inviteSchema, await response.json());
      if (response.ok && answer.success) setInvite(answer.data);
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
      {invite !== null && (
        <Sheet title="Scan with the second device" onClose={() => setInvite(null)}>
          <WayIn invite={invite} />
        </Sheet>
      )}
    </>
  );
}

function WayIn({ invite }: { invite: Invite }): JSX.Element {
  const ways = waysIn(new URL(location.href), invite.addresses);
  const [chosen, setChosen] = useState(0);
  const way = ways[chosen];
  if (way === undefined)
    return (
      <p data-second="none">
        The base answers this machine alone. Started with <code>PLUMBLINE_HOST=0.0.0.0</code> it lets other
        devices on the same network in.
      </p>
    );
  const link = `${way}/join#${invite.invite}`;
  return (
    <>
      <Code text={link} />
      {ways.length > 1 && (
        <fieldset class="stack">
          <legend class="label">
            The base has several addresses: take the one on the second device’s network
          </legend>
          <div class="options">
            {ways.map((each, index) => (
              <button
                key={each}
                type="button"
                aria-pressed={index === chosen}
                onClick={() => setChosen(index)}
              >
                {new URL(each).host}
              </button>
            ))}
          </div>
        </fieldset>
      )}
      <p class="second-link" data-second="link">
        {link}
      </p>
      <p class="label">It lets you in once, within ten minutes, as yourself. Show it to nobody else.</p>
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
