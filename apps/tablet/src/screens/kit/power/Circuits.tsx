import { POWER_CAUTION } from '@plumbline/craft/power';
import { type Json, joinId, splitId } from '@plumbline/replica';
import { sentence, tables } from '@plumbline/shared';
import { type CircuitPlan, circuitPlans, loadsOfPlace, type PlannedLoad } from '@plumbline/shared/power';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { changesOf } from '../../../board/acts.ts';
import { fieldsOf, isEntered } from '../../../board/fields.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { FieldBox, typedValues } from '../../../parts/Box.tsx';
import { Field } from '../../../parts/Field.tsx';
import { Icon } from '../../../parts/Icon.tsx';
import { Mark } from '../../../parts/Mark.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { figure } from '../../../values/showing.ts';

const ABOUT = fieldsOf('loads', (name, field) => isEntered(name, field));
const TYPED = { what: tables.loads.fields.what, watts: tables.loads.fields.watts };

/** What is planned on the circuits of a place, added up. */
export function Circuits({ place }: { place: string }): JSX.Element {
  const desk = useDesk();
  const plans = useDerived(() => circuitPlans(desk.board, place), [desk, place]);
  return (
    <section class="section" aria-label={`Circuits of ${desk.nameOf('places', place)}`} data-place={place}>
      <h3>{desk.nameOf('places', place)}</h3>
      {plans.length === 0 && <p class="muted">No circuit is entered for this place.</p>}
      <div class="power-circuits">
        {plans.map((plan) => (
          <Circuit key={`${plan.number}/${plan.name}`} place={place} plan={plan} />
        ))}
      </div>
    </section>
  );
}

const STATES = {
  fits: { mark: 'good', words: 'within the margin' },
  overMargin: { mark: 'advice', words: 'more than should stand on it for hours' },
  overFuse: { mark: 'fault', words: 'more than its fuse is for' },
  unknown: { mark: 'advice', words: 'no such circuit is entered for the place' },
} as const;

function Circuit({ place, plan }: { place: string; plan: CircuitPlan }): JSX.Element {
  const desk = useDesk();
  const [adding, setAdding] = useState(false);
  const { name, voltageV, fuseA, note, loads, watts, amps, voltAmps, limitAmps, state, uncounted } = plan;
  const assumed = loads.some(({ isAssumed }) => isAssumed);
  const { mark, words } = STATES[state];
  const writes =
    desk.ready.value && desk.mayWrite({ table: 'loads', record: joinId(place, '1'), field: 'watts' });
  return (
    <article class="power-circuit" data-circuit={name} data-state={state}>
      <div class="row wrap">
        <strong>{name === '' ? 'On no circuit yet' : name}</strong>
        {voltageV !== null && (
          <span class="label">
            {figure(voltageV, 0)} V, {figure(fuseA ?? 0, 1)} A{note !== null && `, ${note}`}
          </span>
        )}
      </div>
      {loads.length === 0 ? (
        <p class="muted">Nothing planned on it.</p>
      ) : (
        <>
          {voltageV !== null && (
            <p class="row">
              <span class="number power-amps">
                {figure(amps, 1)}
                <span class="unit">A</span>
              </span>
              <span>
                of {figure(limitAmps, 1)} A for hours, {figure(fuseA ?? 0, 1)} A at most
              </span>
            </p>
          )}
          <p class="row">
            <Mark name={mark} />
            <span>
              {words}: {figure(watts, 0)} W, {figure(voltAmps, 0)} VA
              {assumed && '; power factor taken as 1 where none is entered'}
              {uncounted > 0 && `; ${uncounted} without a power, not in the sum`}
            </span>
          </p>
          <ul class="stack">
            {loads.map((load) => (
              <LoadRow key={load.record} load={load} />
            ))}
          </ul>
        </>
      )}
      {writes && (
        <button type="button" class="act quiet power-add" onClick={() => setAdding(true)}>
          <Icon name="plus" /> Plan something on it
        </button>
      )}
      {adding && <AddLoad place={place} circuit={name} onClose={() => setAdding(false)} />}
    </article>
  );
}

function LoadRow({ load }: { load: PlannedLoad }): JSX.Element {
  const desk = useDesk();
  const [open, setOpen] = useState(false);
  const { record, name, count, watts, powerFactor, isAssumed } = load;
  const words = `${count > 1 ? `${count} × ` : ''}${name}: ${watts === null ? 'power not entered' : `${figure(watts, 0)} W`}${isAssumed ? '' : `, power factor ${figure(powerFactor, 2)}`}`;
  return (
    <li data-load={record}>
      <button type="button" class="power-load" onClick={() => setOpen(true)}>
        {words}
      </button>
      {open && (
        <Sheet title={name} onClose={() => setOpen(false)}>
          <div class="fields">
            {ABOUT.map((field) => (
              <Field key={field} address={{ table: 'loads', record, field }} of={name} />
            ))}
          </div>
          {desk.ready.value && desk.mayWrite({ table: 'loads', record, field: 'retired' }) && (
            <button
              type="button"
              class="act outline"
              onClick={() => {
                if (
                  desk.set(sentence`${name} off the plan`, changesOf('loads', record, { retired: true }))
                    ?.kind === 'queued'
                )
                  setOpen(false);
              }}
            >
              Take it off the plan
            </button>
          )}
        </Sheet>
      )}
    </li>
  );
}

/** Plans an item of the kit on a circuit with one touch, or something else in words. */
function AddLoad(props: { place: string; circuit: string; onClose: () => void }): JSX.Element {
  const { place, circuit, onClose } = props;
  const desk = useDesk();
  const [what, setWhat] = useState('');
  const [watts, setWatts] = useState('');
  const values = typedValues(TYPED, { what, watts });
  const items = desk
    .recordsInUse('kit')
    .map((item) => ({ item, view: desk.board.view('kit', item) }))
    .filter(({ view }) => view.powerDrawW !== undefined && view.powerDrawW > 0);
  const add = (name: string, fields: Readonly<Record<string, Json>>): void => {
    const last = Math.max(0, ...loadsOfPlace(desk.board, place).map((record) => Number(splitId(record)[1])));
    const record = joinId(place, String(last + 1));
    const changes = changesOf('loads', record, { ...(circuit !== '' && { circuit }), ...fields });
    if (desk.set(sentence`${name} planned on ${circuit}`, changes)?.kind === 'queued') onClose();
  };
  return (
    <Sheet title={`Onto ${circuit === '' ? 'no circuit yet' : circuit}`} onClose={onClose}>
      <p class="label">{POWER_CAUTION}</p>
      <div class="options">
        {items.map(({ item, view }) => (
          <button key={item} type="button" onClick={() => add(view.name ?? item, { item })}>
            {view.name ?? item}, {figure(view.powerDrawW ?? 0, 1)} W
          </button>
        ))}
      </div>
      <h3>Something else</h3>
      <form
        class="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (what.trim() !== '' && values !== null) add(what.trim(), values);
        }}
      >
        <FieldBox field={TYPED.what} text={what} onText={setWhat} />
        <FieldBox field={TYPED.watts} text={watts} onText={setWatts} />
        <button type="submit" class="act primary" disabled={what.trim() === '' || values === null}>
          Plan it
        </button>
      </form>
    </Sheet>
  );
}
