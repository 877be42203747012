import type { Finding, Remedy } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { askFor, mayAsk } from '../board/answering.ts';
import type { Desk } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';

/** What would mend a finding, with what else it changes. Those who may do it do it with one touch. */
export function RemedyButton({ finding, remedy }: { finding: Finding; remedy: Remedy }): JSX.Element {
  const desk = useDesk();
  const effects = effectsOf(remedy);
  const hooks = { 'data-remedy': remedy.id, 'data-of': finding.id };
  if (isMine(desk, remedy)) {
    return (
      <button type="button" class="remedy" {...hooks} onClick={() => desk.set(remedy.label, remedy.changes)}>
        <strong>{remedy.label}</strong>
        <span>{effects}</span>
      </button>
    );
  }
  const askable = !finding.accepted && mayAsk(desk, remedy);
  return (
    <li class={askable ? 'remedy-read askable' : 'remedy-read'} {...hooks}>
      <span>
        <strong>{remedy.label}</strong> <span class="muted">{effects}</span>
      </span>
      {askable && (
        <button
          type="button"
          class="act outline"
          data-ask-for={remedy.id}
          aria-label={`Ask ${remedy.by} for it: ${remedy.label}`}
          onClick={() => askFor(desk, finding, remedy)}
        >
          Ask
        </button>
      )}
    </li>
  );
}

/** What else a remedy changes, in words. */
export function effectsOf({ sideEffects }: Remedy): string {
  return sideEffects.length === 0
    ? 'Nothing else changes.'
    : sideEffects.map((effect) => effect.text).join('; ');
}

/** Whether this tablet's person may do all of a remedy here. */
export function isMine(desk: Desk, remedy: Remedy): boolean {
  return (
    remedy.changes.length > 0 && desk.ready.value && remedy.changes.every((change) => desk.mayWrite(change))
  );
}
