import type { ShootRecord } from '../../tables/index.ts';
import type { Change } from '../finding.ts';
import type { Candidate } from '../rule.ts';

type Counts = 'picture' | 'recorders' | 'shoot';

/** The shoot's rate, with its way of dropping labels. */
export function timecodeCandidates(
  table: Exclude<Counts, 'shoot'>,
  record: string,
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  const { frameRate, dropFrame } = shoot;
  if (frameRate === undefined) return [];
  const set = (field: string, value: Change['value']): Change => ({ table, record, field, value });
  const rate = [set('timecodeRate', frameRate)];
  const both = dropFrame === undefined ? rate : [...rate, set('dropFrame', dropFrame)];
  const words = `Count timecode at ${frameRate}`;
  const jam = { what: 'sound', text: 'line the timecodes up again afterwards' } as const;
  return [
    { id: 'timecodeRate', label: words, changes: rate, says: [jam] },
    ...(dropFrame === undefined
      ? []
      : [
          {
            id: 'timecode',
            label: `${words} ${dropFrame ? 'drop-frame' : 'non-drop'}`,
            changes: both,
            says: [jam],
          },
        ]),
  ];
}

/** Every label counted. */
export function countWholeCandidates(table: Counts, record: string): Candidate[] {
  return [
    {
      id: 'dropFrame:false',
      label: 'Count every label, without drop-frame',
      changes: [{ table, record, field: 'dropFrame', value: false }],
    },
  ];
}
