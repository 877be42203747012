import { splitId } from '@plumbline/replica';
import type { RuleBoard } from '../rules/board.ts';
import { kilohertzText, listed } from '../rules/words.ts';

/** The recorders that have channels on a setup and are in use, sorted. */
export function recordersOn(board: RuleBoard, setup: string): string[] {
  const ids = board.list('inputsOfSetup', setup).map((record) => splitId(record)[1] ?? '');
  return [...new Set(ids)].filter((id) => board.reader.view('recorders', id).retired !== true).sort();
}

/** What a recorder's channels carry, by number. */
export type Channels = ReadonlyMap<number, string>;

/** What each channel of a recorder carries on a setup, in words that can be compared. */
export function channels(board: RuleBoard, setup: string, recorder: string): Channels {
  const carried = new Map<number, string>();
  for (const record of board.list('inputsOfSetup', setup)) {
    const [, of, number] = splitId(record);
    if (of !== recorder) continue;
    // Field by field: a record of all its fields would be made anew, and followed, for each channel of the board.
    const { reader } = board;
    const [source, second, state] = [
      reader.value('inputs', record, 'source'),
      reader.value('inputs', record, 'secondSource'),
      reader.value('inputs', record, 'state'),
    ];
    const sources = [source, second].filter((name) => name !== undefined);
    if (state !== 'closed' && sources.length > 0) carried.set(Number(number), listed(sources));
  }
  return carried;
}

/** How many channels carry something else than on the reference; `null` where nothing is entered. */
export function channelsApart(own: Channels, theirs: Channels): number | null {
  if (own.size === 0 || theirs.size === 0) return null;
  const numbers = new Set([...own.keys(), ...theirs.keys()]);
  return [...numbers].filter((number) => own.get(number) !== theirs.get(number)).length;
}

/** `1 Boom, 2 Lapel`, in the order of the channels. */
export function channelsText(own: Channels): string {
  return [...own]
    .sort(([a], [b]) => a - b)
    .map(([number, source]) => `${number} ${source}`)
    .join(', ');
}

/** Whether a camera's sample rate is another than on the reference: 1 or 0; `null` where one is not known. */
export function rateApart(own: number | undefined, reference: number | undefined): number | null {
  if (own === undefined || reference === undefined) return null;
  return own === reference ? 0 : 1;
}

/** `48 kHz`, or nothing. */
export function rateText(hertz: number | undefined): string {
  return hertz === undefined ? '' : kilohertzText(hertz);
}
