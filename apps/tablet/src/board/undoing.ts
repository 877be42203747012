import { addressKey, type Change, type SetOutcome } from '@plumbline/replica';
import type { ShootTables } from '@plumbline/shared';
import { computed, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { Live } from './connection.ts';
import {
  type Done,
  doneBy,
  type History,
  moved,
  NO_HISTORY,
  nextOf,
  remember,
  takeBack,
  type Way,
  without,
} from './undo.ts';

/** What came of going one step back or forth. */
export type Stepped =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'done'; readonly label: string }
  /** Somebody has set a value since. `writer` is whose it is now. */
  | { readonly kind: 'moved on'; readonly label: string; readonly writer: string }
  | { readonly kind: 'refused'; readonly label: string; readonly reason: string };

/** Sets values and remembers what they replaced. Undo and redo are ordinary edits of this tablet's person. */
export class Undoing {
  /** The next to be taken back, and the next to be brought back. */
  readonly undo: ReadonlySignal<Done | undefined>;
  readonly redo: ReadonlySignal<Done | undefined>;
  readonly #live: Live<ShootTables>;
  readonly #now: () => number;
  readonly #history: Signal<History> = signal(NO_HISTORY);

  constructor(live: Live<ShootTables>, now: () => number) {
    this.#live = live;
    this.#now = now;
    this.undo = computed(() => nextOf(this.#history.value, 'undo'));
    this.redo = computed(() => nextOf(this.#history.value, 'redo'));
  }

  /** Makes an edit that can be taken back. */
  set(label: string, changes: readonly Change[]): SetOutcome {
    const { outcome, done } = this.#make(label, changes);
    if (done) this.#history.value = remember(this.#history.peek(), done);
    return outcome;
  }

  /** One step back or forth, unless a value has moved on. */
  step(way: Way): Stepped {
    const history = this.#history.peek();
    const next = nextOf(history, way);
    if (!next) return { kind: 'nothing' };
    const { label } = next;
    const back = takeBack(next, this.#live.replica.shown);
    if ('movedOn' in back) {
      this.#history.value = without(history, way);
      const { table, record, field } = back.movedOn;
      return {
        kind: 'moved on',
        label,
        writer: this.#live.replica.shown.cell(table, record, field)?.[2] ?? '',
      };
    }
    const { outcome, done } = this.#make(label, back.changes);
    this.#history.value = done ? moved(history, way, done) : without(history, way);
    return outcome.kind === 'refused'
      ? { kind: 'refused', label, reason: outcome.decision.entries[0]?.reason ?? '' }
      : { kind: 'done', label };
  }

  #make(label: string, changes: readonly Change[]): { outcome: SetOutcome; done: Done | null } {
    const { replica, link } = this.#live;
    const before = new Map(
      changes.map((change) => [
        addressKey(change),
        replica.shown.cell(change.table, change.record, change.field),
      ]),
    );
    const outcome = replica.set(changes);
    if (outcome.kind !== 'queued') return { outcome, done: null };
    link.send(outcome.edit);
    return {
      outcome,
      done: doneBy(label, this.#now(), outcome.edit, (address) => before.get(addressKey(address))),
    };
  }
}
