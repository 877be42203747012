import { idsUnder, splitId } from '@plumbline/replica';
import type { ShootReader, ShootRecord } from '../tables/index.ts';

/** A recorder's channel on a setup. */
export interface ChannelView {
  /** `setup.recorder.channel` */
  readonly record: string;
  readonly recorder: string;
  readonly channel: number;
  /** Whether it is recorded: said so, flagged while open, or a source without a word about its state. */
  readonly open: boolean;
  readonly view: ShootRecord<'inputs'>;
}

/** The channels of a setup by recorder and number; those of recorders out of use are left out. */
export function channelsOf(reader: ShootReader, setup: string): ChannelView[] {
  return idsUnder(reader.records('inputs'), setup)
    .map((record) => ({ record, parts: splitId(record) }))
    .filter(({ parts: [, recorder = ''] }) => !isRetired(reader, recorder))
    .map(({ record, parts: [, recorder = '', channel] }) => {
      const view = reader.view('inputs', record);
      return { record, recorder, channel: Number(channel), open: isOpen(view), view };
    })
    .sort((a, b) => (a.recorder === b.recorder ? a.channel - b.channel : a.recorder < b.recorder ? -1 : 1));
}

function isRetired(reader: ShootReader, recorder: string): boolean {
  return reader.value('recorders', recorder, 'retired') === true;
}

function isOpen({ state, source }: ShootRecord<'inputs'>): boolean {
  return state === undefined ? source !== undefined : state !== 'closed';
}
