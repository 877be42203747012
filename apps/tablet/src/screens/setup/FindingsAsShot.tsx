import type { ShootRecord } from '@plumbline/shared';
import type { Severity } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { Mark, type MarkName } from '../../parts/Mark.tsx';
import { counted, SEVERITY_WORDS } from '../../parts/words.ts';
import { AsShotSheet } from './AsShotSheet.tsx';

type AsShot = NonNullable<ShootRecord<'takes'>['findingsAsShot']>;

const SHOWN: readonly Severity[] = ['fault', 'break', 'advice'];

/** How many of each, and how many were let stand: what a take is told by at a glance. */
function groupsOf(findings: AsShot): { mark: MarkName; count: number; words: string }[] {
  const open = findings.filter(({ accepted }) => accepted === undefined);
  const accepted = findings.length - open.length;
  return [
    ...SHOWN.map((severity) => {
      const count = open.filter((finding) => finding.severity === severity).length;
      const [one, many] = SEVERITY_WORDS[severity];
      return { mark: severity, count, words: counted(count, one.toLowerCase(), many.toLowerCase()) };
    }),
    { mark: 'accepted' as const, count: accepted, words: `${accepted} accepted` },
  ].filter(({ count }) => count > 0);
}

/** What stood against a take when it was shot, in one quiet line; a touch tells it in sentences. */
export function FindingsAsShot({ number, findings }: { number: number; findings: AsShot }): JSX.Element {
  const [open, setOpen] = useState(false);
  if (findings.length === 0) {
    return (
      <p class="label row" data-findings-as-shot="0">
        <Mark name="good" /> Nothing stood against it when it was shot.
      </p>
    );
  }
  return (
    <>
      <button
        type="button"
        class="act quiet found-then"
        data-findings-as-shot={findings.length}
        onClick={() => setOpen(true)}
      >
        <span class="label">When shot</span>
        {groupsOf(findings).map(({ mark, words }) => (
          <span key={mark} class="tag" data-tone={mark}>
            <Mark name={mark} />
            {words}
          </span>
        ))}
      </button>
      {open && <AsShotSheet number={number} findings={findings} onClose={() => setOpen(false)} />}
    </>
  );
}
