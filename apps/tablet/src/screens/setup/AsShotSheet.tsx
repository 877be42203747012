import type { ShootRecord } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { SEVERITY_WORDS } from '../../parts/words.ts';

/** What stood against a take when it was shot, in sentences. */
export function AsShotSheet(props: {
  number: number;
  findings: NonNullable<ShootRecord<'takes'>['findingsAsShot']>;
  onClose: () => void;
}): JSX.Element {
  const desk = useDesk();
  return (
    <Sheet title={`Take ${props.number}, when it was shot`} onClose={props.onClose}>
      <p class="muted">
        Noted by the base at the roll, with what came by the cut. It stays, whatever is mended later.
      </p>
      <ul class="against-list">
        {props.findings.map(({ id, rule, severity, message, accepted }) => (
          <li key={id} data-as-shot-finding={id}>
            <Mark name={accepted ? 'accepted' : severity} />
            <span>
              <strong>{accepted ? 'Accepted' : SEVERITY_WORDS[severity][0]}</strong>{' '}
              {message ?? `${rule.replaceAll('-', ' ')} (its sentence did not fit)`}
              {accepted && (
                <span class="label">
                  {' '}
                  {desk.nameOf('people', accepted.by)}: {accepted.reason}
                </span>
              )}
            </span>
          </li>
        ))}
      </ul>
    </Sheet>
  );
}
