import type { Change, Json } from '@plumbline/replica';
import type { ShootReader } from '../tables/index.ts';
import type { DifferenceField } from './compare.ts';
import { recordingId } from './ids.ts';
import type { FileSum } from './model.ts';
import type { Matched } from './reconcile.ts';

/** When a file was read and, on a tablet, by whom. */
export interface Noticed {
  readonly at: number;
  readonly by: string | null;
}

/** A file with what is known of where it belongs. */
export type Noted = Pick<Matched, 'file'> & Partial<Pick<Matched, 'slot' | 'card'>>;

const json = (value: object): Json => JSON.parse(JSON.stringify(value));

interface SumLike {
  readonly kind: string;
  readonly value?: string;
}

/** The checksums of a record with those just made: a kind that stands there already stays as it was first read. */
export function sumsTogether(before: readonly SumLike[], now: readonly FileSum[]): SumLike[] {
  return [...before, ...now.filter(({ kind }) => !before.some((sum) => sum.kind === kind))];
}

/** What is kept of a file: only cells that change are written. */
export function noteFile(reader: ShootReader, { file, slot, card }: Noted, noticed: Noticed): Change[] {
  if (!file.facts) return [];
  const record = recordingId(file);
  const before = reader.view('recordings', record);
  const sums = sumsTogether(before.checksums ?? [], file.sums);
  const values: Record<string, Json> = {
    name: file.name.slice(0, 160),
    bytes: file.bytes,
    kind: file.kind,
    ...(card != null && { card }),
    ...(slot && { take: slot.take.record, device: slot.device }),
    facts: json(file.facts),
    ...(sums.length > 0 && { checksums: json(sums) }),
  };
  const now: Readonly<Record<string, Json | undefined>> = JSON.parse(JSON.stringify(before));
  const changed = Object.entries(values).filter(([field, value]) => !isSame(now[field], value));
  if (changed.length === 0) return [];
  return [
    ...changed.map(([field, value]) => ({ table: 'recordings', record, field, value })),
    { table: 'recordings', record, field: 'noticedAt', value: noticed.at },
    ...(noticed.by === null ? [] : [{ table: 'recordings', record, field: 'noticedBy', value: noticed.by }]),
  ];
}

/** Equal as JSON, whatever order their keys have. */
function isSame(a: Json | undefined, b: Json): boolean {
  const plain = (value: Json | undefined): string =>
    JSON.stringify(value, (_, inner: unknown) =>
      typeof inner === 'object' && inner !== null && !Array.isArray(inner)
        ? Object.fromEntries(Object.entries(inner).sort(([x], [y]) => (x < y ? -1 : 1)))
        : inner,
    ) ?? '';
  return plain(a) === plain(b);
}

/**
 * Takes the file's word or the board's for one difference. The settings that a take was shot with stay as the board
 * has them: whose word counts is kept with the file. What a take itself holds (clip, timecode in and out) takes the
 * file's word in the same edit.
 */
export function settle(
  reader: ShootReader,
  matched: Matched,
  field: DifferenceField,
  word: 'file' | 'board',
  noticed: Noticed,
): Change[] {
  const { record, slot } = matched;
  const found = matched.differences.find((difference) => difference.field === field);
  if (!found) return [];
  const settled = { ...reader.value('recordings', record, 'settled'), [field]: word };
  const noted = noteFile(reader, matched, noticed);
  const taken: Change[] =
    word === 'file' && found.take
      ? [
          {
            table: 'takes',
            record: slot.take.record,
            field: found.take.field,
            value: clipsTogether(found.take, slot),
          },
        ]
      : [];
  return [...noted, { table: 'recordings', record, field: 'settled', value: settled }, ...taken];
}

/** The clip field of a take that two cameras shot holds the clips of both. */
function clipsTogether(
  { field, value }: NonNullable<Matched['differences'][number]['take']>,
  { take, device }: Matched['slot'],
): Json {
  const cameras = Object.keys(take.view.asShotPicture ?? {}).filter((name) => name !== 'leftOut');
  const before = take.view.clip;
  if (field !== 'clip' || before === undefined || cameras.length < 2 || typeof value !== 'string')
    return value;
  const together = `${before}, ${value}`;
  return cameras.includes(device) && together.length <= 60 ? together : value;
}

/** Puts a file to another take than it was. */
export function putTo(
  reader: ShootReader,
  noted: Required<Pick<Noted, 'file' | 'slot'>> & Pick<Noted, 'card'>,
  noticed: Noticed,
): Change[] {
  const record = recordingId(noted.file);
  const changes = noteFile(reader, noted, noticed);
  const before = reader.value('recordings', record, 'take');
  // What was settled against another take says nothing of this one.
  if (before === undefined || before === noted.slot.take.record) return changes;
  return [...changes, { table: 'recordings', record, field: 'settled', value: null }];
}
