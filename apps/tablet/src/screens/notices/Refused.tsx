import {
  addressKey,
  type Change,
  type Entry,
  type Json,
  refusalSentence,
  sameJson,
  stampMilliseconds,
  type TrayItem,
} from '@plumbline/replica';
import { sentence } from '@plumbline/shared';
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Desk } from '../../board/desk.ts';
import { declared } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { EntryFor } from '../../parts/EntrySheet.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { say } from '../../parts/saying.ts';
import { writeTime } from '../../values/showing.ts';

/** Names a tray item for lists. */
export function trayKey({ edit }: TrayItem): string {
  return `${edit.n}@${edit.stamp}`;
}

/** What was set aside since this page was opened: it can be brought back as long as it is. */
const aside = signal<readonly TrayItem[]>([]);

/** Why an edit is in the tray, in a sentence. */
function reasonOf(item: TrayItem): string {
  const [first] = item.reasons;
  if (first) return first.reason;
  return item.code === 'unsent'
    ? 'It was made before the board was restored, or in another tab that is gone, and never reached the base.'
    : refusalSentence(item.code);
}

/** An edit as lines of text, for a message to somebody or a note of one's own. */
function asText(desk: Desk, item: TrayItem, value: (entry: Entry) => Json): string {
  const at = writeTime(stampMilliseconds(item.edit.stamp), desk.timeZone());
  const lines = item.edit.entries.map(
    (entry) => sentence`${desk.cellName(entry)}: ${desk.words(entry, value(entry))}`,
  );
  return [`Entered at ${at}, not taken: ${reasonOf(item)}`, ...lines].join('\n');
}

/** An edit that was not taken: why, what it held, and what can be done with it. */
export function Refused({ item }: { item: TrayItem }): JSX.Element {
  const desk = useDesk();
  const { replica } = desk.live;
  const { entries } = item.edit;
  const [changed, setChanged] = useState<ReadonlyMap<string, Json>>(new Map());
  const [editing, setEditing] = useState<Entry | null>(null);
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set());
  const valueNow = (entry: Entry): Json => {
    const own = changed.get(addressKey(entry));
    return own === undefined ? entry.value : own;
  };
  const going = entries.filter((entry) => !left.has(addressKey(entry)));
  const again = (): void => {
    const changes = going.map(
      (entry): Change => ({
        table: entry.table,
        record: entry.record,
        field: entry.field,
        value: valueNow(entry),
      }),
    );
    const outcome = desk.set('Sent again', changes);
    if (outcome && outcome.kind !== 'refused') replica.dropFromTray(item);
  };
  return (
    <article class="notice" data-tray={item.edit.n} data-code={item.code}>
      <p>
        {reasonOf(item)}{' '}
        <span class="label">
          Entered at {writeTime(stampMilliseconds(item.edit.stamp), desk.timeZone())}.
        </span>
      </p>
      <ul class="notice-values">
        {entries.map((entry) => (
          <EntryLine
            key={addressKey(entry)}
            entry={entry}
            value={valueNow(entry)}
            reason={item.reasons.find((reason) => addressKey(reason) === addressKey(entry))?.reason}
            isLeft={left.has(addressKey(entry))}
            onChange={() => setEditing(entry)}
            onLeave={entries.length > 1 ? () => setLeft(toggled(left, addressKey(entry))) : undefined}
          />
        ))}
      </ul>
      <div class="row wrap">
        <button type="button" class="act" disabled={going.length === 0} onClick={again}>
          {changed.size > 0 ? 'Send as changed' : 'Send again'}
        </button>
        <CopyText text={asText(desk, item, valueNow)} />
        <button
          type="button"
          class="act quiet push"
          onClick={() => {
            replica.dropFromTray(item);
            aside.value = [item, ...aside.peek()];
            say('Set aside.', { label: 'Bring it back', run: () => bringBack(desk, item) });
          }}
        >
          Set aside
        </button>
      </div>
      {editing && (
        <ChangeSheet
          desk={desk}
          entry={editing}
          value={valueNow(editing)}
          onClose={() => setEditing(null)}
          onEnter={(value) => {
            const next = new Map(changed);
            if (sameJson(value, editing.value)) next.delete(addressKey(editing));
            else next.set(addressKey(editing), value);
            setChanged(next);
            setEditing(null);
          }}
        />
      )}
    </article>
  );
}

function toggled(set: ReadonlySet<string>, key: string): ReadonlySet<string> {
  const next = new Set(set);
  if (!next.delete(key)) next.add(key);
  return next;
}

/** Whether a value of this cell can be entered by hand at all. */
function isEnterable(entry: Entry): boolean {
  const field = declared(entry);
  return field !== undefined && field.control.kind !== 'object';
}

function EntryLine(props: {
  entry: Entry;
  value: Json;
  reason: string | undefined;
  isLeft: boolean;
  onChange: () => void;
  onLeave: (() => void) | undefined;
}): JSX.Element {
  const { entry, value, reason, isLeft, onChange, onLeave } = props;
  const desk = useDesk();
  const name = desk.cellName(entry);
  const words = desk.words(entry, value);
  return (
    <li class="notice-value" data-entry={`${entry.table}/${entry.record}/${entry.field}`} data-left={isLeft}>
      <span>
        {name}: <strong>{isLeft ? 'left out' : words}</strong>
        {!isLeft && !sameJson(value, entry.value) && (
          <span class="label"> instead of {desk.words(entry, entry.value)}</span>
        )}
        <StandsNow entry={entry} />
        {reason !== undefined && <span class="label notice-reason">{reason}</span>}
      </span>
      <span class="row push">
        {onLeave && (
          <button
            type="button"
            class="act quiet"
            aria-label={`${isLeft ? 'Put in' : 'Leave out'}: ${name}`}
            onClick={onLeave}
          >
            {isLeft ? 'Put in' : 'Leave out'}
          </button>
        )}
        {isEnterable(entry) && !isLeft && (
          <button
            type="button"
            class="act outline"
            aria-label={`Change ${name}, ${words}`}
            onClick={onChange}
          >
            Change
          </button>
        )}
      </span>
    </li>
  );
}

function ChangeSheet(props: {
  desk: Desk;
  entry: Entry;
  value: Json;
  onClose: () => void;
  onEnter: (value: Json) => void;
}): JSX.Element | null {
  const { desk, entry, value, onClose, onEnter } = props;
  const field = declared(entry);
  if (!field) return null;
  return (
    <Sheet title={desk.cellName(entry)} onClose={onClose}>
      <EntryFor
        desk={desk}
        field={field}
        value={value}
        showing={desk.showing()}
        entering={{}}
        onEnter={onEnter}
      />
      {field.nullable && value !== null && (
        <button type="button" class="act outline" onClick={() => onEnter(null)}>
          Leave it unset
        </button>
      )}
    </Sheet>
  );
}

function StandsNow({ entry }: { entry: Entry }): JSX.Element {
  const desk = useDesk();
  const cell = desk.live.replica.shown.cell(entry.table, entry.record, entry.field);
  return (
    <span class="label">
      {' '}
      stands now: {cell ? desk.words(entry, cell[0]) : 'not set'}
      {cell && cell[0] !== null && sentence`, by ${desk.writerName(cell[2])}`}
    </span>
  );
}

function CopyText({ text }: { text: string }): JSX.Element {
  const copy = async (): Promise<void> => {
    // plain http has no clipboard: the words can be marked and copied by hand
    const copied = await navigator.clipboard?.writeText(text).then(
      () => true,
      () => false,
    );
    say(copied === true ? 'Copied.' : 'Could not be copied here: mark the words and copy them by hand.');
  };
  return (
    <button type="button" class="act outline" onClick={() => void copy()}>
      <Icon name="copy" /> Copy as text
    </button>
  );
}

function bringBack(desk: Desk, item: TrayItem): void {
  aside.value = aside.peek().filter((kept) => kept !== item);
  desk.live.replica.backToTray(item);
}

/** What was set aside a while ago, folded away. */
export function SetAside(): JSX.Element | null {
  const desk = useDesk();
  const items = aside.value;
  if (items.length === 0) return null;
  return (
    <details class="more">
      <summary>Set aside since this page was opened: {items.length}</summary>
      <ul class="notice-values">
        {items.map((item) => (
          <li key={trayKey(item)} class="notice-value">
            <span>
              {item.edit.entries
                .map((entry) => sentence`${desk.cellName(entry)}: ${desk.words(entry, entry.value)}`)
                .join('; ')}
            </span>
            <button type="button" class="act outline push" onClick={() => bringBack(desk, item)}>
              Bring it back
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}
