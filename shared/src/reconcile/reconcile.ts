import type { ShootReader, ShootRecord } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { type Difference, differencesOf, isOpenDifference } from './compare.ts';
import { cardOf, type Known, weigh } from './evidence.ts';
import { byPath } from './folder.ts';
import { recordingId } from './ids.ts';
import { nameKey, type RecordedFile } from './model.ts';
import { type Pair, pairFiles } from './pair.ts';
import { type Slot, slotsOf, slotWords } from './slots.ts';

/** A file, the take that it is, and where the two differ. */
export interface Matched extends Pair {
  /** Its record among the recorded files. */
  readonly record: string;
  readonly card: string | null;
  readonly differences: readonly Difference[];
  /** Whether it is sure which take it is. */
  readonly isSure: boolean;
}

/** A file that is no take on the board. */
export interface Unlogged {
  readonly file: RecordedFile;
  readonly record: string;
  readonly says: string;
}

/** A take whose file is not there. */
export interface Missing {
  readonly slot: Slot;
  readonly says: string;
}

/** A folder of files held against the board. */
export interface Reconciled {
  readonly matched: readonly Matched[];
  readonly unlogged: readonly Unlogged[];
  /** Files that say nothing usable. */
  readonly unread: readonly RecordedFile[];
  readonly missing: readonly Missing[];
  /** Takes that are on cards of which nothing is here. */
  readonly elsewhere: number;
}

/** Names that a card's folder may have: what is written on it, and its record. */
function cardsByKey(reader: ShootReader): Map<string, string> {
  const cards = new Map<string, string>();
  for (const id of reader.records('cards')) {
    for (const name of [id, reader.value('cards', id, 'name')]) if (name) cards.set(nameKey(name), id);
  }
  return cards;
}

function clipOwners(slots: readonly Slot[]): Map<string, Set<string>> {
  const owners = new Map<string, Set<string>>();
  for (const { clips, take } of slots) {
    for (const clip of clips) owners.set(clip, (owners.get(clip) ?? new Set()).add(take.record));
  }
  return owners;
}

/** What was settled of a file before; `undefined` for a file that is new. */
function recordOf(reader: ShootReader, file: RecordedFile): ShootRecord<'recordings'> | undefined {
  const record = reader.view('recordings', recordingId(file));
  return record.name === undefined || record.retired === true ? undefined : record;
}

/**
 * Holds files against the board: which take each is, what is missing, what is not logged, and what differs. The same
 * files in another order come to the same.
 *
 * @param putTo takes that somebody has just put files to, by the path of the file; they go before everything else
 */
export function reconcile(
  reader: ShootReader,
  files: readonly RecordedFile[],
  putTo: ReadonlyMap<string, { readonly take: string; readonly device: string | null }> = new Map(),
): Reconciled {
  const sorted = files.toSorted(byPath);
  const readable = sorted.filter(({ facts }) => facts !== null);
  const slots = slotsOf(reader);
  const putThere = new Map<RecordedFile, { take: string; device: string | null }>();
  for (const file of readable) {
    const record = recordOf(reader, file);
    const put = putTo.get(file.path);
    if (put) putThere.set(file, put);
    else if (record?.take !== undefined) {
      putThere.set(file, { take: record.take, device: record.device ?? null });
    }
  }
  const known: Omit<Known, 'clockAhead'> = {
    cardsByKey: cardsByKey(reader),
    clipOwners: clipOwners(slots),
    putThere,
    nameOfCard: (card) => reader.value('cards', card, 'name') ?? card,
  };
  const pairs = pairFiles(readable, slots, known);
  const matched = pairs.map((pair): Matched => {
    const settled = recordOf(reader, pair.file)?.settled;
    return {
      ...pair,
      record: recordingId(pair.file),
      card: cardOf(pair.file, known.cardsByKey) ?? pair.slot.card,
      differences: differencesOf(reader, pair.slot, pair.file, settled),
      isSure: pair.alternatives.length === 0 && pair.rivals.length === 0,
    };
  });
  const paired = new Set(matched.map(({ file }) => file));
  const taken = new Map(matched.map((each) => [each.slot.id, each]));
  const all: Known = { ...known, clockAhead: () => 0 };
  const { missing, elsewhere } = missingOf(slots, taken, readable, known);
  return {
    matched,
    unlogged: readable
      .filter((file) => !paired.has(file))
      .map((file) => ({ file, record: recordingId(file), says: whyUnlogged(file, slots, taken, all) })),
    unread: sorted.filter(({ facts }) => facts === null),
    missing,
    elsewhere,
  };
}

/** The take that a file would have been, had another not been nearer. */
function whyUnlogged(
  file: RecordedFile,
  slots: readonly Slot[],
  taken: ReadonlyMap<string, Matched>,
  known: Known,
): string {
  let best: { readonly slot: Slot; readonly score: number } | null = null;
  for (const slot of slots) {
    const score = weigh(file, slot, known)?.score ?? 0;
    if (score > (best?.score ?? 0)) best = { slot, score };
  }
  const holder = best && taken.get(best.slot.id);
  if (best && holder)
    return sentence`It is nearest to ${slotWords(best.slot)}, which ${holder.file.name} fits better.`;
  if (best) return sentence`It is nearest to ${slotWords(best.slot)}, though too little speaks for it.`;
  return 'Nothing on the board speaks for it.';
}

/** Takes without a file, as far as files of their kind and card are here at all. */
function missingOf(
  slots: readonly Slot[],
  taken: ReadonlyMap<string, Matched>,
  files: readonly RecordedFile[],
  known: Omit<Known, 'clockAhead'>,
): { readonly missing: Missing[]; readonly elsewhere: number } {
  const kinds = new Set(files.map(({ kind }) => (kind === 'picture' ? 'cameras' : 'recorders')));
  const cards = new Set<string>();
  let isUnsorted = false;
  for (const file of files) {
    const card = cardOf(file, known.cardsByKey);
    if (card === null) isUnsorted = true;
    else cards.add(card);
  }
  for (const { slot } of taken.values()) if (slot.card !== null) cards.add(slot.card);
  const missing: Missing[] = [];
  let elsewhere = 0;
  for (const slot of slots) {
    if (!slot.isDue || taken.has(slot.id)) continue;
    const isHere = kinds.has(slot.table) && (slot.card === null || isUnsorted || cards.has(slot.card));
    if (!isHere) elsewhere++;
    else {
      const card = slot.card === null ? '' : sentence` It should be on card ${known.nameOfCard(slot.card)}.`;
      missing.push({ slot, says: sentence`No file of ${slotWords(slot)}.${card}` });
    }
  }
  return { missing, elsewhere };
}

/** How many things somebody should look at. */
export interface Tally {
  readonly files: number;
  readonly matched: number;
  readonly unsure: number;
  /** Open differences. */
  readonly differences: number;
  readonly missing: number;
  readonly unlogged: number;
  readonly unread: number;
  /** Files that can be read and of which something is wrong. */
  readonly doubtful: number;
}

/** Counts them. */
export function tallyOf({ matched, unlogged, unread, missing }: Reconciled): Tally {
  const readable = [...matched, ...unlogged];
  return {
    files: readable.length + unread.length,
    matched: matched.length,
    unsure: matched.filter(({ isSure }) => !isSure).length,
    differences: matched.reduce((sum, each) => sum + each.differences.filter(isOpenDifference).length, 0),
    missing: missing.length,
    unlogged: unlogged.length,
    unread: unread.length,
    doubtful: readable.filter(({ file }) => file.problems.length > 0).length,
  };
}

/** Whether folder and board agree: nothing open, missing, unlogged, unsure or doubtful. */
export function agrees(tally: Tally): boolean {
  const { unsure, differences, missing, unlogged, unread, doubtful } = tally;
  return unsure + differences + missing + unlogged + unread + doubtful === 0;
}
