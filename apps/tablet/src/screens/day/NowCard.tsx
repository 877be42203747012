import { picturesOf } from '@plumbline/shared';
import type { JSX } from 'preact';
import { ScreenLink } from '../../app/links.tsx';
import { setState } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { OpenFindings } from '../../parts/OpenFindings.tsx';
import { PictureLine } from '../../parts/PictureLine.tsx';
import { TakeChoice } from '../../parts/TakeChoice.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { counted, isLongLabel } from '../../parts/words.ts';

/** The setup in work, large: what it is set to, what is wrong with it, and the way on. */
export function NowCard({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const { label, description } = desk.board.view('setups', setup);
  const pictures = useDerived(() => picturesOf(desk.board, setup), [desk, setup]);
  const takes = desk.takesOf(setup);
  const last = takes.findLast(({ state }) => state === 'cut');
  return (
    <section class="now" aria-label={`In work: ${label ?? setup}`}>
      <ScreenLink screen="setup" record={setup} class="now-link">
        <span class="now-head">
          <Mark name="work" />
          <span>In work</span>
          <span class="label">{takes.length === 0 ? 'no takes yet' : counted(takes.length, 'take')}</span>
          <OpenFindings setup={setup} />
        </span>
        <span class="now-title">
          <bdi class="number" data-long={isLongLabel(label ?? setup)}>
            {label ?? setup}
          </bdi>
          <span>{description}</span>
        </span>
        {pictures.map(({ record, camera }) => (
          <PictureLine key={record} record={record} camera={camera} />
        ))}
      </ScreenLink>
      {last && desk.me.role === 'director' && desk.ready.value && (
        <div class="stack">
          <span class="label">
            Take <span class="number">{last.number}</span>
          </span>
          <TakeChoice take={last.record} field="verdict" />
        </div>
      )}
      {desk.me.role === 'director' && desk.ready.value && (
        <div class="row wrap">
          <ScreenLink screen="setup" record={setup} class="act">
            Open
          </ScreenLink>
          <button type="button" class="act primary push" onClick={() => setState(desk, setup, 'complete')}>
            Mark {label ?? setup} complete
          </button>
        </div>
      )}
    </section>
  );
}
