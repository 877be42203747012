import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Take } from './Take.tsx';

/** The takes of the setup, the last on top. */
export function Takes({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const takes = desk.takesOf(setup);
  const [opened, setOpened] = useState<string | null>(null);
  const done = takes.filter((take) => take.state !== 'announced').toReversed();
  return (
    <section class="section" aria-label="Takes">
      <h2>Takes</h2>
      {done.length === 0 && <p class="muted">Nothing rolled yet.</p>}
      {done.map((take, index) => (
        <Take
          key={take.record}
          take={take}
          open={opened === null ? index === 0 : opened === take.record}
          onToggle={(open) => setOpened(open ? take.record : '')}
        />
      ))}
    </section>
  );
}
