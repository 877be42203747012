import type { Readiness, ReadyFinding } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';
import { Mark, type MarkName } from '../../parts/Mark.tsx';
import { useAfterPaint } from '../../parts/useAfterPaint.ts';
import { counted, SEVERITY_WORDS } from '../../parts/words.ts';
import { ReadyBody } from './later.ts';
import './ready.css';

/** From this width on the panel stands open beside the roll button; below it is one line until it is touched. */
const ROOM = '(min-width: 60rem)';

/** Faults and breaks: what rolling anyway asks a reason for. Advice, and what is not known yet, asks for none. */
export function standingAgainst(ready: Readiness | null): readonly ReadyFinding[] {
  return ready?.findings.filter(({ severity }) => severity !== 'advice') ?? [];
}

/** The panel by the roll button: what stands between this setup and its next take, and who mends it. */
export function ReadyPanel({ setup, ready }: { setup: string; ready: Readiness | null }): JSX.Element | null {
  const desk = useDesk();
  const [open, setOpen] = useState(() => matchMedia(ROOM).matches);
  const lines = useAfterPaint(() => desk.judging.routineOf(setup, desk.now()), [desk, setup]);
  const state = desk.board.value('setups', setup, 'state');
  if (state === 'complete' || state === 'dropped') return null;
  const counts = ready === null ? '' : countsOf(ready, lines?.filter(({ done }) => !done) ?? []);
  return (
    <details
      class="ready"
      aria-label="Ready to roll"
      data-ready={ready === null ? 'unknown' : ready.ready}
      open={open}
      onToggle={(event) => setOpen(event.currentTarget.open)}
    >
      <summary class="ready-head">
        <Mark name={markOf(ready)} />
        <span class="ready-words">
          <strong>{ready === null ? 'Not judged yet' : ready.ready ? 'Ready to roll' : 'Not ready'}</strong>
          {counts !== '' && <span class="ready-counts">{counts}</span>}
        </span>
      </summary>
      {open && ready && <ReadyBody setup={setup} ready={ready} lines={lines ?? []} />}
    </details>
  );
}

function markOf(ready: Readiness | null): MarkName {
  if (ready === null) return 'planned';
  if (ready.ready) return 'good';
  return ready.findings[0]?.severity ?? 'planned';
}

/** `1 fault, 2 breaks, 3 to enter, 1 to tick` */
function countsOf(ready: Readiness, open: readonly { readonly record: string }[]): string {
  const { findings, unknowns, checks } = ready;
  const parts = (['fault', 'break', 'advice'] as const).flatMap((severity) => {
    const count = findings.filter((finding) => finding.severity === severity).length;
    const [one, many] = SEVERITY_WORDS[severity];
    return count === 0 ? [] : [counted(count, one.toLowerCase(), many.toLowerCase())];
  });
  const missing = unknowns.reduce((sum, unknown) => sum + unknown.missing.length, 0);
  if (missing > 0) parts.push(`${missing} to enter`);
  const toTick = new Set([...checks, ...open].map(({ record }) => record)).size;
  if (toTick > 0) parts.push(`${toTick} to tick`);
  return parts.join(', ');
}
