import type { ShootReader, ShootRecord } from '../tables/index.ts';
import { recordingFactsSchema } from './facts.ts';
import type { RecordingFacts } from './model.ts';

/** A recorded file of a take, as papers read it. */
export interface TakeRecording {
  readonly record: string;
  readonly name: string;
  readonly device: string | null;
  readonly view: ShootRecord<'recordings'>;
  /** `null` where what is kept is not understood. */
  readonly facts: RecordingFacts | null;
  /** Fields in which the file's word was taken over the board's. */
  readonly byFile: readonly string[];
}

/** The recorded files of every take that has some, in the order of their names. */
export function recordingsByTake(reader: ShootReader): ReadonlyMap<string, readonly TakeRecording[]> {
  const all = new Map<string, TakeRecording[]>();
  for (const record of reader.records('recordings')) {
    const view = reader.view('recordings', record);
    const { take, name = record, device = null, settled = {} } = view;
    if (take === undefined || view.retired === true) continue;
    const byFile = Object.entries(settled).flatMap(([field, word]) => (word === 'file' ? [field] : []));
    const facts = recordingFactsSchema.safeParse(view.facts);
    const one: TakeRecording = {
      record,
      name,
      device,
      view,
      facts: facts.success ? facts.data : null,
      byFile: byFile.sort(),
    };
    const known = all.get(take);
    if (known) known.push(one);
    else all.set(take, [one]);
  }
  for (const list of all.values()) list.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  return all;
}
