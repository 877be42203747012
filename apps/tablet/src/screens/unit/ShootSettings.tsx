import { SHOOT, TOLERANCES } from '@plumbline/shared';
import type { JSX } from 'preact';
import { fieldsOf, isEntered } from '../../board/fields.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Field } from '../../parts/Field.tsx';
import { Tolerances } from './Tolerances.tsx';

const SETTINGS = fieldsOf('shoot', (name, field) => isEntered(name, field) && !(name in TOLERANCES));

/** What holds for the whole shoot: the director sets it, the others read it. */
export function ShootSettings(): JSX.Element {
  const { board, me } = useDesk();
  const view = board.view('shoot', SHOOT);
  const directs = me.role === 'director';
  const field = (name: string): JSX.Element | null =>
    directs || name in view ? (
      <Field key={name} address={{ table: 'shoot', record: SHOOT, field: name }} />
    ) : null;
  return (
    <section class="section" aria-label="The shoot">
      <h2>The shoot</h2>
      <div class={directs ? 'fields' : 'fields reading'}>{SETTINGS.map(field)}</div>
      <Tolerances />
    </section>
  );
}
