import type { LiveMatch } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useEffect, useMemo, useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { useDesk } from '../../board/useDesk.ts';
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
  const live = useMemo(() => found && begin(matchOf(found), record), [found]);
  if (!live) {
    return (
      <p class="empty" role="status">
        Opening…
      </p>
    );
  }
  return <OpenMatch live={live} goTo={record} />;
}

/** Works out what is seen first, so that it is drawn to the right scale at once. */
function begin(live: LiveMatch, goTo: string | null): LiveMatch {
  let few = 4;
  live.work(() => few-- > 0, goTo);
  return live;
}

function OpenMatch({ live, goTo }: { live: LiveMatch; goTo: string | null }): JSX.Element {
  const [compared, setCompared] = useState<readonly [string, string | null] | null>(null);
  const [step, setStep] = useState(0);
  const [open] = useState(() => (setup: string) => setCompared([setup, null]));
  const printing = usePrinting();
  const alone = live.alone.value;
  const sources = live.sources.value;
  useWorkedOut(live);
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

/** How long groups are worked out at a time, ms: no longer than what a finger notices. */
const SLICE_MS = 6;

/** Works out what cannot be seen yet, a slice at a time, for the scales and the sum of all marks. */
function useWorkedOut(live: LiveMatch): void {
  const isComplete = live.complete.value;
  useEffect(() => {
    if (isComplete) return;
    let timer: ReturnType<typeof setTimeout>;
    const slice = (): void => {
      const end = performance.now() + SLICE_MS;
      live.work(() => performance.now() < end);
      if (!live.complete.peek()) timer = setTimeout(slice, SLICE_MS);
    };
    timer = setTimeout(slice, 60);
    return () => clearTimeout(timer);
  }, [live, isComplete]);
}
