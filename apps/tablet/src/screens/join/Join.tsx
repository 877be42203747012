import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { go } from '../../app/navigation.ts';
import { homeOf, readPlace } from '../../app/places.ts';
import { join, takeWanted } from '../../app/sessions.ts';
import { Plumb } from '../../parts/Plumb.tsx';
import './join.css';

const LONGEST_NAME = 60;

/** The page that an invitation leads to: one's name, and in. */
export function Join({ invite, onJoined }: { invite: string; onJoined: () => void }): JSX.Element {
  const [name, setName] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const given = name.trim();

  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    if (busy) return;
    if (given === '') {
      setProblem('The others need to know who you are: write your name.');
      return;
    }
    setBusy(true);
    setProblem(null);
    const outcome = await join(invite, given);
    setBusy(false);
    if (outcome.kind === 'failed') {
      setProblem(outcome.sentence);
      return;
    }
    const { boardId, role } = outcome.membership;
    const wanted = new URL(takeWanted(boardId) ?? '/', location.origin);
    const place = readPlace(wanted.pathname, wanted.hash);
    if (place.kind === 'board' && place.board === boardId) go(place, true);
    else go({ kind: 'board', board: boardId, screen: homeOf(role), record: null }, true);
    onJoined();
  };

  if (invite === '') return <NoInvite />;
  return (
    <main class="gate">
      <Plumb class="gate-mark" />
      <h1>Join the board</h1>
      <p class="muted">Everybody on the unit sees one board. Your name stands beside what you set on it.</p>
      <form class="stack" onSubmit={submit} noValidate>
        <label class="label" for="name">
          Your name
        </label>
        <input
          id="name"
          class="entry"
          autoComplete="name"
          maxLength={LONGEST_NAME}
          value={name}
          aria-invalid={problem !== null}
          aria-describedby="problem"
          onInput={(event) => setName(event.currentTarget.value)}
        />
        <p id="problem" class="reads" data-wrong="true" role="alert">
          {problem}
        </p>
        <button type="submit" class="act primary" disabled={busy}>
          {busy ? 'Joining…' : 'Join'}
        </button>
      </form>
      <p>
        <a
          class="act quiet"
          href="/guide"
          onClick={(event) => {
            event.preventDefault();
            go({ kind: 'guide', role: null });
          }}
        >
          What each role does here
        </a>
      </p>
    </main>
  );
}

/** What somebody sees who has no session here, and no invitation in the address. */
export function NoInvite({ sentence }: { sentence?: string }): JSX.Element {
  return (
    <main class="gate">
      <Plumb class="gate-mark" />
      <h1>No session on this device</h1>
      <p>{sentence ?? 'Nobody has joined a board here yet, or the session has ended.'}</p>
      <p class="muted">
        Open the link you were sent, or scan the code that the director shows. Whoever runs the base finds a
        link for each role where it was started.
      </p>
      <p>
        <a
          class="act quiet"
          href="/guide"
          onClick={(event) => {
            event.preventDefault();
            go({ kind: 'guide', role: null });
          }}
        >
          What each role does here
        </a>
      </p>
    </main>
  );
}
