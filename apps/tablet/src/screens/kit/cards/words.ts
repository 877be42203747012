import { CARD_STATES, COPY_CHECKS } from '@plumbline/shared';
import type { CardState, Device } from '@plumbline/shared/cards';
import type { Desk } from '../../../board/desk.ts';
import type { MarkName } from '../../../parts/Mark.tsx';
import { figure } from '../../../values/showing.ts';

const BYTES_PER_GB = 1e9;

/** A state in words; what is recorded on in a recorder is in the recorder. */
export function stateWords(state: CardState, department?: string): string {
  if (state === 'inCamera' && department === 'sound') return 'In the recorder';
  return CARD_STATES.find(({ value }) => value === state)?.label ?? state;
}

/** How a copy was checked, in words. */
export function checkWords(checked: string): string {
  return COPY_CHECKS.find(({ value }) => value === checked)?.label ?? checked;
}

const MARKS: Readonly<Record<CardState, MarkName>> = {
  blank: 'planned',
  prepared: 'planned',
  inCamera: 'work',
  full: 'break',
  out: 'break',
  copied: 'advice',
  verified: 'good',
  cleared: 'done',
};

/** The shape that stands beside a state. */
export function markOfState(state: CardState): MarkName {
  return MARKS[state];
}

/** `Camera A`, as it is called on set, with its slot where it is the second. */
export function deviceName(desk: Desk, { table, id, slot }: Device): string {
  const word = table === 'cameras' ? 'Camera' : 'Recorder';
  const name = desk.board.value(table, id, 'name');
  const called = name === undefined || name === id ? `${word} ${id}` : name;
  return slot === 'cardB' ? `${called}, second slot` : called;
}

/** `256 GB`, `1.2 TB`: decimal, as printed on cards. */
export function bytesWords(bytes: number): string {
  const gigabytes = bytes / BYTES_PER_GB;
  return gigabytes >= 1000
    ? `${figure(gigabytes / 1000, 2)} TB`
    : `${figure(gigabytes, gigabytes < 10 ? 1 : 0)} GB`;
}

/** `45 min`, `2 h 05 min`; rounded down, so that nobody counts on what is not there. */
export function minutesWords(minutes: number): string {
  const whole = Math.floor(minutes);
  return whole < 90
    ? `${whole} min`
    : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
}
