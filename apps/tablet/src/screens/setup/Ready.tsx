import { DEPARTMENTS, type Department } from '@plumbline/shared';
import type { Readiness, ReadyFinding, ReadyItem, Target } from '@plumbline/shared/rules';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Desk } from '../../board/desk.ts';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { Mark, type MarkName } from '../../parts/Mark.tsx';
import { ReasonSheet } from '../../parts/ReasonSheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { counted, DEPARTMENT_WORDS, SEVERITY_WORDS } from '../../parts/words.ts';
import { ALL_LINES, type Check, checksOf, linesToList, listCheck, tick } from './checking.ts';
import './ready.css';

/** From this width on the panel stands open beside the roll button; below it is one line until it is touched. */
const ROOM = '(min-width: 60rem)';

/** What stands between a setup and its next take. `null` until the rules are here. Follows the board. */
export function useReadiness(setup: string): Readiness | null {
  const desk = useDesk();
  return useDerived(() => desk.judging.readinessOf(setup), [desk, setup]);
}

/** Faults and breaks: what rolling anyway asks a reason for. Advice, and what is not known yet, asks for none. */
export function standingAgainst(ready: Readiness | null): readonly ReadyFinding[] {
  return ready?.findings.filter(({ severity }) => severity !== 'advice') ?? [];
}

/** The panel by the roll button: what stands between this setup and its next take, and who mends it. */
export function ReadyPanel({ setup, ready }: { setup: string; ready: Readiness | null }): JSX.Element | null {
  const desk = useDesk();
  const [open, setOpen] = useState(() => matchMedia(ROOM).matches);
  const [listing, setListing] = useState(false);
  const checks = useDerived(() => checksOf(desk, setup), [desk, setup]);
  const lines = useDerived(() => linesToList(desk, setup).map(({ title }) => title), [desk, setup]);
  const state = desk.board.value('setups', setup, 'state');
  if (state === 'complete' || state === 'dropped') return null;
  const { role } = desk.me;
  const own = DEPARTMENTS.find((department) => department === role);
  const order = [...DEPARTMENTS].sort((a, b) => Number(b === own) - Number(a === own));
  const ticked = checks.filter(({ doneAt }) => doneAt !== null);
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
          {ready && !ready.ready && <span class="ready-counts">{countsOf(ready)}</span>}
        </span>
      </summary>
      <div class="ready-body">
        {ready &&
          order.map((department) => {
            const items = ready.by[department];
            if (items.length === 0) return null;
            return (
              <div key={department} class="ready-group" data-ready-of={department}>
                <h3 class="label">{department === own ? 'Yours' : DEPARTMENT_WORDS[department]}</h3>
                <ul>
                  {items.map((item) => (
                    <Item key={keyOf(item)} item={item} checks={checks} />
                  ))}
                </ul>
              </div>
            );
          })}
        {ticked.length > 0 && (
          <div class="ready-group">
            <h3 class="label">Looked at</h3>
            <ul>
              {ticked.map((check) => (
                <CheckItem key={check.record} check={check} />
              ))}
            </ul>
          </div>
        )}
        {own && desk.ready.value && (
          <button type="button" class="act quiet" onClick={() => setListing(true)}>
            <Icon name="plus" /> List a check
          </button>
        )}
      </div>
      {listing && own && (
        <ReasonSheet
          title="What must somebody look at?"
          words="It stands here until it is ticked. The board cannot see it."
          options={lines.length > 1 ? [...lines, ALL_LINES] : lines}
          label="Another check"
          act="List it"
          maxLength={120}
          onGive={(title) => listCheck(desk, setup, title)}
          onClose={() => setListing(false)}
        />
      )}
    </details>
  );
}

function keyOf(item: ReadyItem): string {
  switch (item.kind) {
    case 'finding':
      return item.id;
    case 'check':
      return item.record;
    case 'unknown':
      return `unknown ${item.department}`;
  }
}

function markOf(ready: Readiness | null): MarkName {
  if (ready === null) return 'planned';
  if (ready.ready) return 'good';
  return ready.findings[0]?.severity ?? 'planned';
}

/** `1 fault, 2 breaks, 3 to enter, 1 to tick` */
export function countsOf(ready: Readiness): string {
  const { findings, unknowns, checks } = ready;
  const parts = (['fault', 'break', 'advice'] as const).flatMap((severity) => {
    const count = findings.filter((finding) => finding.severity === severity).length;
    const [one, many] = SEVERITY_WORDS[severity];
    return count === 0 ? [] : [counted(count, one.toLowerCase(), many.toLowerCase())];
  });
  const missing = unknowns.reduce((sum, unknown) => sum + unknown.missing.length, 0);
  if (missing > 0) parts.push(`${missing} to enter`);
  if (checks.length > 0) parts.push(`${checks.length} to tick`);
  return parts.join(', ');
}

function Item({ item, checks }: { item: ReadyItem; checks: readonly Check[] }): JSX.Element | null {
  switch (item.kind) {
    case 'finding':
      return <FindingItem item={item} />;
    case 'unknown':
      return (
        <li class="ready-item" data-ready-unknown={item.missing.length}>
          <span class="ready-dots" aria-hidden="true">
            …
          </span>
          <Missing department={item.department} missing={item.missing} />
        </li>
      );
    case 'check': {
      const check = checks.find(({ record }) => record === item.record);
      return check ? <CheckItem check={check} /> : null;
    }
  }
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
  return `${label}, ${desk.nameOf(table, record)}`;
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

function CheckItem({ check }: { check: Check }): JSX.Element {
  const desk = useDesk();
  const done = check.doneAt !== null;
  const mine = desk.ready.value && desk.mayWrite({ table: 'checks', record: check.record, field: 'doneAt' });
  const words = (
    <>
      <Mark name={done ? 'done' : 'planned'} />
      <span>
        {check.title}
        {check.doneBy !== null && <span class="label"> {desk.nameOf('people', check.doneBy)}</span>}
        {!mine && <span class="unseen">{done ? ', done' : ', not done'}</span>}
      </span>
    </>
  );
  return (
    <li data-check={check.record} data-done={done}>
      {mine ? (
        <button
          type="button"
          class="ready-item ready-go"
          aria-pressed={done}
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
