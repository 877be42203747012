import type { Finding, Remedy } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useDesk } from '../board/useDesk.ts';
import { DEPARTMENT_WORDS } from './words.ts';

/** What would mend a finding, with what else it changes. Those who may do it do it with one touch. */
export function RemedyButton({ finding, remedy }: { finding: Finding; remedy: Remedy }): JSX.Element {
  const desk = useDesk();
  const effects =
    remedy.sideEffects.length === 0
      ? 'Nothing else changes.'
      : remedy.sideEffects.map((effect) => effect.text).join('; ');
  const mine =
    remedy.changes.length > 0 && desk.ready.value && remedy.changes.every((change) => desk.mayWrite(change));
  const body = (
    <>
      <strong>{remedy.label}</strong>
      <span>{effects}</span>
    </>
  );
  const hooks = { 'data-remedy': remedy.id, 'data-of': finding.id };
  if (mine) {
    return (
      <button type="button" class="remedy" {...hooks} onClick={() => desk.set(remedy.label, remedy.changes)}>
        {body}
      </button>
    );
  }
  return (
    <div class="remedy" {...hooks}>
      {body}
      <span>
        {remedy.changes.length === 0 ? 'By hand, on set' : `${DEPARTMENT_WORDS[remedy.by]} can set this`}
      </span>
    </div>
  );
}
