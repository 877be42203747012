import { type LiveMatch, sourcesOf } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useMemo, useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
import { useDerived } from '../../parts/useDerived.ts';
import { Board } from './Board.tsx';
import { Compare } from './Compare.tsx';
import { matchOf, shown } from './live.ts';
import { MatchBar } from './MatchBar.tsx';
import { MatchKey } from './MatchKey.tsx';
import { MatchTable } from './MatchTable.tsx';
import './match.css';
import { MatchPrint } from './MatchPrint.tsx';
import { usePrinting } from './usePrinting.ts';

/**
 * Whether the scenes will cut: a line for each camera and recorder through the setups that cut together, level while
 * they agree and stepping where they do not.
 */
export function Match({ record }: { record: string | null }): JSX.Element {
  const desk = useDesk();
  const found = desk.judging.found.value;
  const live = useMemo(() => found && matchOf(found), [found]);
  if (!live) {
    return (
      <p class="empty" role="status">
        Opening…
      </p>
    );
  }
  return <OpenMatch live={live} goTo={record} />;
}

function OpenMatch({ live, goTo }: { live: LiveMatch; goTo: string | null }): JSX.Element {
  const [compared, setCompared] = useState<readonly [string, string | null] | null>(null);
  const [step, setStep] = useState(0);
  const [open] = useState(() => (setup: string) => setCompared([setup, null]));
  const printing = usePrinting();
  const alone = live.alone.value;
  const sources = useDerived(
    () => steady(sourcesOf(live.outline.value.map(({ name }) => live.group(name).value))),
    [live],
  );
  const isEmpty = live.outline.value.length === 0;
  if (isEmpty && alone.length === 0) {
    return (
      <div class="empty">
        <h1>Match</h1>
        <p>There are no setups yet. They come with the plan, or one by one on Day.</p>
      </div>
    );
  }
  return (
    <div class="match">
      <MatchBar
        live={live}
        sources={sources}
        goTo={goTo}
        onStep={(direction) => setStep((now) => now + direction)}
        onCompare={() => {
          const first = live.outline.peek()[0];
          const [one, other] = first
            ? live.group(first.name).peek().columns
            : alone.map((setup) => ({ setup }));
          if (one) setCompared([one.setup, other?.setup ?? null]);
        }}
        onPrint={printing.print}
      />
      {isEmpty ? (
        <p class="match-nothing">
          Nothing cuts together yet. Setups that the editor will cut together belong to one match group; the
          director names it in a setup’s details, and this screen shows where they agree.
        </p>
      ) : shown.value.asTable ? (
        <MatchTable live={live} onOpen={open} />
      ) : (
        <Board live={live} sources={sources} goTo={goTo} step={step} onOpen={open} />
      )}
      {!isEmpty && <MatchKey sources={sources} />}
      {alone.length > 0 && <Alone setups={alone} />}
      {compared && (
        <Compare
          key={compared[0]}
          live={live}
          own={compared[0]}
          other={compared[1]}
          onClose={() => setCompared(null)}
        />
      )}
      {printing.isPrinting && <MatchPrint live={live} sources={sources} />}
    </div>
  );
}

/** Setups that no other is matched to: a few by name, the rest behind one touch. */
function Alone({ setups }: { setups: readonly string[] }): JSX.Element {
  const desk = useDesk();
  const [all, setAll] = useState(false);
  const FEW = 12;
  const named = all ? setups : setups.slice(0, FEW);
  return (
    <p class="match-alone">
      <span>In no match group:</span>
      {named.map((setup) => (
        <ScreenLink key={setup} screen="setup" record={setup} class="match-alone-link">
          {desk.nameOf('setups', setup)}
        </ScreenLink>
      ))}
      {setups.length > FEW && (
        <button type="button" class="act quiet" onClick={() => setAll(!all)}>
          {all ? 'Fewer' : `${setups.length - FEW} more`}
        </button>
      )}
    </p>
  );
}

/** The last list again while it says the same, so that nothing is drawn anew for it. */
const steady = (() => {
  let last: { readonly text: string; readonly value: ReturnType<typeof sourcesOf> } | null = null;
  return (value: ReturnType<typeof sourcesOf>): ReturnType<typeof sourcesOf> => {
    const text = JSON.stringify(value);
    if (last?.text !== text) last = { text, value };
    return last.value;
  };
})();
