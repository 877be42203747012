import { readdirSync, readFileSync } from 'node:fs';
import { type BoardState, type Decision, decide, readerOf, stampAt } from '@plumbline/replica';
import { boardDefinition, type ShootReader, tables } from '@plumbline/shared';
import { readPlan } from '@plumbline/shared/plan';
import { type Actor, rehearsal, type Step } from '@plumbline/shared/rehearsal';
import { notingFindings } from '@plumbline/shared/rules';
import { boardOf, DAWN } from '../support/shoot.ts';

const MINUTE_MS = 60_000;
const folder = new URL('../../demo-data/', import.meta.url);

/** The board as the base judges it, with what stood against a take noted. */
export const definition = notingFindings(boardDefinition);

/** People of the board, a tablet each. */
export function castOf(...roles: readonly string[]): readonly Actor[] {
  return roles.map((role, index) => ({ person: `p${index + 1}`, writer: `p${index + 1}-1`, role }));
}

/** The demo shoot as its plan files have it, with the cast joined. */
export function demoBoard(cast: readonly Actor[]): BoardState {
  const files = readdirSync(folder)
    .filter((name) => /\.[ct]sv$/.test(name))
    .map((name) => ({ name, text: readFileSync(new URL(name, folder)) }));
  const reading = readPlan(files, boardOf({}));
  if (reading.kind === 'wrong') throw new Error(JSON.stringify(reading.problems));
  const board = boardOf({
    people: Object.fromEntries(
      cast.map(({ person, role }) => [person, { name: `The ${role} ${person}`, role }]),
    ),
  });
  for (const { table, record, field, value } of reading.values)
    board.set({ table, record, field }, [value, stampAt(DAWN), 'p9-1']);
  return board;
}

/** One step as it was played, and what the base would decide of it. */
export interface Played {
  readonly step: Step;
  readonly decision: Decision;
  /** Milliseconds on the clock of the played day. */
  readonly at: number;
}

/** Plays a whole day on a board that decides as the base does, each step at its minute of the day. */
export function play(
  board: BoardState,
  options: { readonly seed: number; readonly cast: readonly Actor[]; readonly setups?: number },
): { readonly played: readonly Played[]; readonly reader: ShootReader } {
  let at = DAWN + MINUTE_MS;
  const reader = readerOf(tables, board);
  const numbers = new Map<string, number>();
  const played: Played[] = [];
  for (const step of rehearsal({ ...options, read: () => reader, now: () => at })) {
    at += 1;
    const { writer: id, person, role } = step.by;
    const n = (numbers.get(id) ?? 0) + 1;
    numbers.set(id, n);
    const stamp = stampAt(at);
    const entries = step.changes.map(({ table, record, field, value }) => ({
      table,
      record,
      field,
      value,
      seen: board.cell(table, record, field)?.[1] ?? 0,
    }));
    const decision = decide(
      definition,
      board,
      { id, person, role },
      { n, stamp, entries },
      { milliseconds: at, stamp },
    );
    if (decision.kind === 'stored') for (const write of decision.writes) board.set(write, write.cell);
    played.push({ step, decision, at });
    at += Math.ceil(step.minutes * MINUTE_MS);
  }
  return { played, reader };
}
