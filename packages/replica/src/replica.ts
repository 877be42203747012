import { computed, type ReadonlySignal, type Signal, signal } from '@preact/signals-core';
import type * as Y from 'yjs';
import { openContest } from './contest.ts';
import { type BoardDefinition, type Decision, decide, type Writer } from './decide.ts';
import type { Edit, Entry } from './edit.ts';
import { addressKey, type CellAddress } from './ids.ts';
import { type Json, sameJson } from './json.ts';
import { LateDocument } from './lateDocument.ts';
import { LiveBoard } from './live.ts';
import { addEdit, answerEdit, closeGap, greetOutbox, type Outbox } from './outbox.ts';
import { isRefusalCode, type RefusalCode } from './refusals.ts';
import { isStamp, StampClock, stampMilliseconds } from './stamps.ts';
import { type BoardReader, type Cell, Overlay } from './state.ts';
import type { Tables } from './tables.ts';
import type { Hello, Refused, Stored } from './wire.ts';

/** A value to set. */
export interface Change extends CellAddress {
  readonly value: Json;
  /** The stamp of the value the person had on screen; left out: of the one this tablet shows. */
  readonly seen?: number;
}

/** An edit that could not be stored: kept until its author has dealt with it. */
export interface TrayItem {
  readonly edit: Edit;
  /** `unsent`: made under another writer's name or epoch, and never answered. */
  readonly code: RefusalCode | 'unsent';
  readonly reasons: readonly {
    readonly table: string;
    readonly record: string;
    readonly field: string;
    readonly reason: string;
  }[];
}

/** A value of one's own that a newer one outran. */
export interface LateNotice extends CellAddress {
  readonly mine: Json;
  readonly stands: Cell;
}

/** What became of an attempt to set values on this tablet. */
export type SetOutcome =
  | { readonly kind: 'queued'; readonly edit: Edit }
  | { readonly kind: 'unchanged' }
  | { readonly kind: 'refused'; readonly decision: Extract<Decision, { kind: 'refused' }> };

/** What a replica must be told at the start. */
export interface ReplicaOptions<S extends Tables> {
  readonly definition: BoardDefinition<S>;
  /** The base's clock as estimated here, ms since 1970. */
  readonly now: () => number;
  /** Who edits here; `role` decides which edits are refused before they are sent. */
  readonly person: { readonly id: string; readonly role: string };
  /** What an earlier run kept on this device. */
  readonly kept?: {
    readonly updates: readonly Uint8Array[];
    readonly outbox: Outbox | null;
    readonly tray: readonly TrayItem[];
    /** Notices not dealt with: closing the page must not swallow them. */
    readonly late?: readonly LateNotice[];
  };
}

/**
 * A tablet's copy of the board: the base's document, read-only, under this tablet's own unanswered edits. It says at
 * once what the base will say, keeps every edit until the base has answered it, and works without a base.
 */
export class Replica<S extends Tables> {
  readonly board: LiveBoard<S>;
  /** Edits not answered yet. */
  readonly outbox: ReadonlySignal<Outbox | null>;
  /** How many edits the base has not said *stored* to yet. */
  readonly waiting: ReadonlySignal<number>;
  readonly tray: ReadonlySignal<readonly TrayItem[]>;
  readonly late: ReadonlySignal<readonly LateNotice[]>;
  readonly #definition: BoardDefinition<S>;
  readonly #person: ReplicaOptions<S>['person'];
  readonly #clock: StampClock;
  readonly #now: () => number;
  readonly #document: LateDocument;
  readonly #listeners = new Set<(update: Uint8Array) => void>();
  readonly #outbox: Signal<Outbox | null>;
  readonly #tray: Signal<readonly TrayItem[]>;
  readonly #late: Signal<readonly LateNotice[]>;
  #shown: BoardReader;

  constructor({ definition, now, person, kept }: ReplicaOptions<S>) {
    this.#definition = definition;
    this.#person = person;
    this.#now = now;
    this.#clock = new StampClock(now);
    this.#outbox = signal(kept?.outbox ?? null);
    this.#tray = signal(kept?.tray ?? []);
    this.#late = signal(kept?.late ?? []);
    this.outbox = this.#outbox;
    this.tray = this.#tray;
    this.late = this.#late;
    this.waiting = computed(() => this.#outbox.value?.pending.length ?? 0);
    this.#document = new LateDocument(kept?.updates ?? [], Object.keys(definition.tables), {
      changed: (addresses) => this.#changed(addresses),
      updated: (update) => {
        for (const listener of this.#listeners) listener(update);
      },
      read: () => this.#layPending(),
    });
    this.#shown = this.#document.board;
    this.board = new LiveBoard(definition.tables, () => this.#shown);
    this.#clock.see(this.#document.newest);
    for (const edit of kept?.outbox?.pending ?? []) this.#clock.see(edit.stamp);
    this.#layPending();
  }

  /** The base's document. Until it is read, asking for it costs as much as reading it. @throws Error where Yjs is not here */
  get doc(): Y.Doc {
    return this.#document.whole;
  }

  /** Whether the document has been made of the updates that were kept; the board shows what is in them before. */
  get isRead(): ReadonlySignal<boolean> {
    return this.#document.isRead;
  }

  /** Updates that hold all of the document; until it is read, those that were kept. */
  get updates(): readonly Uint8Array[] {
    return this.#document.updates;
  }

  /** Makes the document bit by bit, unless Yjs cannot be fetched. @param pause lets others have their turn */
  read(pause: () => Promise<void>): Promise<void> {
    return this.#document.read(pause);
  }

  /** Hears each update that changes the document from here on. Returns how to stop. */
  hear(listener: (update: Uint8Array) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** The board as this tablet shows it: the base's values under its own unanswered ones. */
  get shown(): BoardReader {
    return this.#shown;
  }

  /** Who writes here, once the base has said so. */
  get writer(): Writer | null {
    const id = this.#outbox.peek()?.writer;
    return id === undefined ? null : { id, person: this.#person.id, role: this.#person.role };
  }

  /** Takes in an update of the document from the base. */
  receive(update: Uint8Array): void {
    this.#document.receive(update);
  }

  /** The base has greeted: it names this tab's writer and the last edit it answered. Returns the edits to send. */
  greeted(hello: Hello): readonly Edit[] {
    if (hello.writer === null) return [];
    const { outbox, orphans } = greetOutbox(this.#outbox.peek(), hello.writer, hello.last);
    this.#outbox.value = outbox;
    if (orphans.length > 0) this.#toTray(orphans.map((edit) => ({ edit, code: 'unsent', reasons: [] })));
    this.#relay(orphans.flatMap((edit) => edit.entries));
    return outbox.pending;
  }

  /**
   * Sets values, all or none. They show at once; the edit waits in the outbox for the base's word. What the base would
   * refuse is refused here and not queued.
   *
   * @throws Error before the base has ever greeted this tab
   */
  set(changes: readonly Change[]): SetOutcome {
    const outbox = this.#outbox.peek();
    const writer = this.writer;
    if (!outbox || !writer) throw new Error('The base has not greeted this tab yet');
    const entries = changes
      .map((change): Entry => {
        const stands = this.#shown.cell(change.table, change.record, change.field);
        return { ...pick(change), value: change.value, seen: change.seen ?? stands?.[1] ?? 0 };
      })
      .filter((entry) => !this.#stands(entry));
    if (entries.length === 0) return { kind: 'unchanged' };
    const stamp = this.#clock.next();
    const milliseconds = this.#now();
    const queued = addEdit(outbox, stamp, entries);
    const decision = decide(this.#definition, this.#shown, writer, queued.edit, { milliseconds, stamp });
    if (decision.kind === 'refused') return { kind: 'refused', decision };
    this.#outbox.value = queued.outbox;
    this.#relay(entries);
    return { kind: 'queued', edit: queued.edit };
  }

  /** The base has an edit on disk. */
  stored({ n, late }: Stored): void {
    const edit = this.#answered(n);
    if (!edit) return;
    const notices = (late ?? []).flatMap(({ entry, stands }): LateNotice[] => {
      const mine = edit.entries[entry];
      return mine && !sameJson(mine.value, stands[0]) ? [{ ...pick(mine), mine: mine.value, stands }] : [];
    });
    if (notices.length > 0) this.#late.value = [...notices, ...this.#late.peek()];
  }

  /** The base did not take an edit. Returns what to send again where only a number was amiss. */
  refused({ n, code, last, entries }: Refused): readonly Edit[] {
    if (code === 'gap') {
      const outbox = this.#outbox.peek();
      if (!outbox) return [];
      this.#outbox.value = closeGap(outbox, last ?? 0, n ?? undefined);
      return this.#outbox.peek()?.pending ?? [];
    }
    const edit = n === null ? null : this.#answered(n);
    if (edit) this.#toTray([{ edit, code: isRefusalCode(code) ? code : 'form', reasons: entries }]);
    return [];
  }

  /** Takes an edit out of the tray: it was sent again, or its author let it go. */
  dropFromTray(item: TrayItem): void {
    this.#tray.value = this.#tray.peek().filter((kept) => kept !== item);
  }

  /** Puts an edit back in the tray: its author thought again about letting it go. */
  backToTray(item: TrayItem): void {
    if (!this.#tray.peek().includes(item)) this.#toTray([item]);
  }

  /** Takes a notice away: its author has seen it, or put the value back. */
  dropLate(notice: LateNotice): void {
    this.#late.value = this.#late.peek().filter((kept) => kept !== notice);
  }

  /** Before the document is set aside for another epoch's: what was never answered goes to the tray. */
  unanswered(): readonly TrayItem[] {
    const pending = this.#outbox.peek()?.pending ?? [];
    return [
      ...this.#tray.peek(),
      ...pending.map((edit): TrayItem => ({ edit, code: 'unsent', reasons: [] })),
    ];
  }

  #toTray(items: readonly TrayItem[]): void {
    this.#tray.value = [...this.#tray.peek(), ...items];
  }

  #answered(n: number): Edit | null {
    const outbox = this.#outbox.peek();
    if (!outbox) return null;
    const answered = answerEdit(outbox, n);
    this.#outbox.value = answered.outbox;
    if (answered.edit) this.#relay(answered.edit.entries);
    return answered.edit;
  }

  /**
   * Whether exactly this value stands already, so that setting it again would say nothing. On a contested cell it says
   * something: that its author has seen both values.
   */
  #stands({ table, record, field, value, seen }: Entry): boolean {
    const cell = this.#shown.cell(table, record, field);
    if (!cell) return value === null;
    if (openContest(this.#shown, { table, record, field })) return false;
    return cell[1] === seen && sameJson(cell[0], value);
  }

  #changed(addresses: readonly CellAddress[]): void {
    for (const { table, record, field } of addresses) {
      const cell = this.#document.board.cell(table, record, field);
      if (cell) this.#clock.see(cell[1]);
    }
    this.#relay(addresses);
  }

  #relay(addresses: readonly CellAddress[]): void {
    this.#layPending();
    this.board.changed(addresses);
  }

  /** Pending values are shown where they will stand: over an older value, under a newer one. */
  #layPending(): void {
    const outbox = this.#outbox.peek();
    if (!outbox || outbox.pending.length === 0) {
      this.#shown = this.#document.board;
      return;
    }
    const overlay = new Overlay(this.#document.board);
    for (const { stamp, entries } of outbox.pending) {
      for (const entry of entries) {
        const below = overlay.cell(entry.table, entry.record, entry.field);
        if (!below || below[1] < stamp) overlay.set(entry, [entry.value, stamp, outbox.writer]);
      }
    }
    this.#shown = overlay;
  }
}

function pick({ table, record, field }: CellAddress): CellAddress {
  return { table, record, field };
}

/** When a cell was set, ms since 1970 on the base's clock. */
export function setAt(cell: Cell): number {
  return isStamp(cell[1]) ? stampMilliseconds(cell[1]) : 0;
}

/** Names a late notice for lists. */
export function noticeKey(notice: LateNotice): string {
  return `${addressKey(notice)}@${notice.stands[1]}`;
}
