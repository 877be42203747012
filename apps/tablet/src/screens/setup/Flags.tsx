import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { FlagCard } from '../../parts/lazySheets.ts';
import { useDerived } from '../../parts/useDerived.ts';
import { RaiseFlag } from './later.ts';

/** Flags about this setup, and raising one. */
export function Flags({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const [raising, setRaising] = useState(false);
  const flags = useDerived(
    () =>
      desk.board.records('flags').filter((id) => {
        const about = desk.board.value('flags', id, 'about');
        if (about?.split('/')[1]?.split('.')[0] !== setup) return false;
        return desk.board.value('flags', id, 'retired') !== true;
      }),
    [desk, setup],
  );
  const writes = desk.ready.value && desk.me.role !== 'producer';
  return (
    <section class="section" aria-label="Flags">
      <h2>Flags</h2>
      {flags.length === 0 && <p class="muted">Nobody has flagged anything here.</p>}
      {flags.map((flag) => (
        <FlagCard key={flag} flag={flag} />
      ))}
      {writes && (
        <div class="row">
          <button type="button" class="act" onClick={() => setRaising(true)}>
            <Icon name="flag" /> Raise a flag
          </button>
        </div>
      )}
      {raising && <RaiseFlag setup={setup} onClose={() => setRaising(false)} />}
    </section>
  );
}
