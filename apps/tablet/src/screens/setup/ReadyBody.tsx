import { DEPARTMENTS, type Department, sentence } from '@plumbline/shared';
import type { LineStanding } from '@plumbline/shared/routine';
import type { Readiness, ReadyFinding, ReadyUnknown, Target } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Desk } from '../../board/desk.ts';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { Mark } from '../../parts/Mark.tsx';
import { ReasonSheet } from '../../parts/ReasonSheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { DEPARTMENT_WORDS, SEVERITY_WORDS } from '../../parts/words.ts';
import { type Check, checksOf, listCheck, tick } from './checking.ts';

/**
 * What stands between a setup and its next take, by the department that mends it, one's own first; below, what is done
 * already.
 */
export function ReadyBody(props: {
  setup: string;
  ready: Readiness;
  lines: readonly LineStanding[];
}): JSX.Element {
  const { setup, ready, lines } = props;
  const desk = useDesk();
  const [listing, setListing] = useState(false);
  const checks = useDerived(() => checksOf(desk, setup, lines), [desk, setup, lines]);
  const { role } = desk.me;
  const own = DEPARTMENTS.find((department) => department === role);
  const order = [...DEPARTMENTS].sort((a, b) => Number(b === own) - Number(a === own));
  const done = checks.filter((check) => check.done);
  return (
    <div class="ready-body">
      {order.map((department) => {
        const findings = ready.findings.filter((finding) => finding.department === department);
        const unknowns = ready.unknowns.filter((unknown) => unknown.department === department);
        const open = checks.filter((check) => check.department === department && !check.done);
        if (findings.length + unknowns.length + open.length === 0) return null;
        const isOwn = department === own;
        return (
          <div key={department} class="ready-group" data-ready-of={department}>
            <h3 class="label">{isOwn ? 'Yours' : DEPARTMENT_WORDS[department]}</h3>
            <ul>
              {findings.map((finding) => (
                <FindingItem key={finding.id} item={finding} />
              ))}
              {unknowns.map((unknown) => (
                <UnknownItem key={`unknown ${unknown.department}`} item={unknown} />
              ))}
              {(isOwn || open.length === 1) &&
                open.map((check) => <CheckItem key={check.record} check={check} />)}
            </ul>
            {!isOwn && open.length > 1 && <Others checks={open} />}
          </div>
        );
      })}
      {done.length > 0 && (
        <details class="ready-group">
          <summary class="label ready-fold">Looked at: {done.length}</summary>
          <ul>
            {done.map((check) => (
              <CheckItem key={check.record} check={check} />
            ))}
          </ul>
        </details>
      )}
      {own && desk.ready.value && (
        <button type="button" class="act quiet" onClick={() => setListing(true)}>
          <Icon name="plus" /> List a check
        </button>
      )}
      {listing && own && (
        <ReasonSheet
          title="What must somebody look at?"
          words="It stands here until it is ticked. The board cannot see it."
          options={[]}
          label="The check"
          act="List it"
          maxLength={120}
          onGive={(title) => listCheck(desk, setup, title)}
          onClose={() => setListing(false)}
        />
      )}
    </div>
  );
}

/** What another department still looks at: how much, and by a touch what. */
function Others({ checks }: { checks: readonly Check[] }): JSX.Element {
  return (
    <details>
      <summary class="label ready-fold">{checks.length} to tick</summary>
      <ul>
        {checks.map((check) => (
          <CheckItem key={check.record} check={check} />
        ))}
      </ul>
    </details>
  );
}

/** One line; a touch goes to where it is told in full, with what would mend it. */
function FindingItem({ item }: { item: ReadyFinding }): JSX.Element {
  return (
    <li>
      <button
        type="button"
        class="ready-item ready-go"
        data-ready-finding={item.id}
        onClick={() => reveal(`[data-finding="${CSS.escape(item.id)}"]`)}
      >
        <Mark name={item.severity} />
        <span>
          <span class="unseen">{SEVERITY_WORDS[item.severity][0]}: </span>
          {item.message}
        </span>
      </button>
    </li>
  );
}

function UnknownItem({ item }: { item: ReadyUnknown }): JSX.Element {
  return (
    <li class="ready-item" data-ready-unknown={item.missing.length}>
      <span class="ready-dots" aria-hidden="true">
        …
      </span>
      <Missing department={item.department} missing={item.missing} />
    </li>
  );
}

/** Fields that nobody has entered: for those who may enter them each leads to its field. */
function Missing(props: { department: Department; missing: readonly Target[] }): JSX.Element {
  const desk = useDesk();
  const mine = desk.ready.value && props.department === desk.me.role;
  const words = props.missing.map((target) => ({ target, name: missingName(desk, target) }));
  if (!mine) return <span>Not known yet: {words.map(({ name }) => name).join(', ')}</span>;
  return (
    <span class="ready-missing">
      <span>Not known yet:</span>
      {words.map(({ target, name }) => (
        <button
          key={`${target.table}/${target.record}/${target.field}`}
          type="button"
          class="act outline"
          onClick={() => reveal(fieldSelector(target))}
        >
          {name}
        </button>
      ))}
    </span>
  );
}

function fieldSelector({ table, record, field }: Target): string {
  return `[data-field="${CSS.escape(`${table}/${record}/${field}`)}"], [data-channel="${CSS.escape(record)}"]`;
}

/** `Aperture A`, `Level R1 2`, `Capacity, A-01`. */
function missingName(desk: Desk, { table, record, field }: Target): string {
  const label = field === undefined ? '' : (declared({ table, field })?.label ?? field);
  const [, ...rest] = record.split('.');
  if (rest.length > 0) return `${label} ${rest.join(' ')}`;
  if (table === 'shoot' || table === 'setups') return label;
  return sentence`${label}, ${desk.nameOf(table, record)}`;
}

/** Brings something of the page into view, and the keyboard with it. */
function reveal(selector: string): void {
  const found = document.querySelector<HTMLElement>(selector);
  if (!found) return;
  const hidden = found.closest('details:not([open])');
  if (hidden instanceof HTMLDetailsElement) hidden.open = true;
  found.scrollIntoView({ block: 'center' });
  const target = found.matches('button') ? found : found.querySelector<HTMLElement>('button, a');
  (target ?? found).focus({ preventScroll: true });
}

/** A check to tick, or ticked; what the board sees by itself says why. */
function CheckItem({ check }: { check: Check }): JSX.Element {
  const desk = useDesk();
  const { done, ticked } = check;
  // What the board sees done needs no tick; a tick can be taken back.
  const mine =
    desk.ready.value &&
    (ticked || !done) &&
    desk.mayWrite({ table: 'checks', record: check.record, field: 'doneAt' });
  const words = (
    <>
      <Mark name={done ? 'ticked' : 'open'} />
      <span>
        {check.title}
        {check.doneBy !== null && <span class="label"> {desk.nameOf('people', check.doneBy)}</span>}
        {check.why !== null && !ticked && <span class="label ready-why">{check.why}</span>}
        {!mine && <span class="unseen">{done ? ', done' : ', not done'}</span>}
      </span>
    </>
  );
  return (
    <li data-check={check.record} data-done={done} data-ticked={ticked}>
      {mine ? (
        <button
          type="button"
          class="ready-item ready-go"
          aria-pressed={ticked}
          onClick={() => tick(desk, check)}
        >
          {words}
        </button>
      ) : (
        <div class="ready-item">{words}</div>
      )}
    </li>
  );
}
