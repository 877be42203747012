import {
  cardOf,
  type Evidence,
  type Known,
  LEAST_SCORE,
  MARGIN,
  startOffset,
  WEIGHTS,
  weigh,
} from './evidence.ts';
import { byPath } from './folder.ts';
import type { RecordedFile } from './model.ts';
import type { Slot } from './slots.ts';

/** A file and the slot that it was put to. */
export interface Pair extends Evidence {
  readonly file: RecordedFile;
  readonly slot: Slot;
  /** Other slots that it may as well be; empty where it is sure. */
  readonly alternatives: readonly Slot[];
  /** Other files that may as well be this take. */
  readonly rivals: readonly RecordedFile[];
}

interface Edge extends Evidence {
  readonly file: RecordedFile;
  readonly slot: Slot;
}

/** Best first; what scores the same in an order that does not hang on how the folder was read. */
function order(a: Edge, b: Edge): number {
  return (
    b.score - a.score ||
    byPath(a.file, b.file) ||
    (a.slot.id < b.slot.id ? -1 : a.slot.id > b.slot.id ? 1 : 0)
  );
}

function edgesOf(files: readonly RecordedFile[], slots: readonly Slot[], known: Known): Edge[] {
  return files
    .flatMap((file) =>
      slots.flatMap((slot): Edge[] => {
        const evidence = weigh(file, slot, known);
        return evidence && evidence.score >= LEAST_SCORE ? [{ file, slot, ...evidence }] : [];
      }),
    )
    .sort(order);
}

/** One file to one slot: the best go first, and one that is left over may move another that has a second choice. */
function assign(edges: readonly Edge[]): Edge[] {
  const byFile = new Map<RecordedFile, Edge>();
  const bySlot = new Map<string, Edge>();
  const of = new Map<RecordedFile, Edge[]>();
  const put = (edge: Edge): void => {
    byFile.set(edge.file, edge);
    bySlot.set(edge.slot.id, edge);
  };
  for (const edge of edges) {
    const own = of.get(edge.file);
    if (own) own.push(edge);
    else of.set(edge.file, [edge]);
    if (!byFile.has(edge.file) && !bySlot.has(edge.slot.id)) put(edge);
  }
  for (const edge of edges) {
    if (byFile.has(edge.file)) continue;
    const holder = bySlot.get(edge.slot.id);
    const elsewhere = holder && of.get(holder.file)?.find(({ slot }) => !bySlot.has(slot.id));
    if (!holder || !elsewhere || holder.score - elsewhere.score > MARGIN) continue;
    put(elsewhere);
    put(edge);
  }
  return [...byFile.values()].sort((a, b) => byPath(a.file, b.file));
}

/** Marks what could as well be otherwise. */
function judged(assigned: readonly Edge[], edges: readonly Edge[]): Pair[] {
  const byFile = new Map(assigned.map((edge) => [edge.file, edge]));
  const bySlot = new Map(assigned.map((edge) => [edge.slot.id, edge]));
  const near = new Map<RecordedFile, Edge[]>();
  const wanted = new Map<string, Edge[]>();
  for (const edge of edges) {
    near.set(edge.file, [...(near.get(edge.file) ?? []), edge]);
    wanted.set(edge.slot.id, [...(wanted.get(edge.slot.id) ?? []), edge]);
  }
  /** Whether an edge is clearly beaten by what its file or its slot was given. */
  const isBeaten = (edge: Edge, given: Edge | undefined): boolean =>
    given !== undefined && given.score > edge.score + MARGIN;
  return assigned.map((edge): Pair => {
    const alternatives = (near.get(edge.file) ?? [])
      .filter((other) => other.slot.id !== edge.slot.id && other.score >= edge.score - MARGIN)
      .filter((other) => !isBeaten(other, bySlot.get(other.slot.id)))
      .map(({ slot }) => slot);
    const rivals = (wanted.get(edge.slot.id) ?? [])
      .filter((other) => other.file !== edge.file && other.score >= edge.score - MARGIN)
      .filter((other) => !isBeaten(other, byFile.get(other.file)))
      .map(({ file }) => file);
    return { ...edge, alternatives, rivals };
  });
}

/** A clock is taken to be off by what so many files of one device agree on, within this, s. */
const CLOCK_AGREES_SECONDS = 30;

/** The files of a device: those of one card’s folder, else all of the kind. */
function deviceKey(file: RecordedFile, cardsByKey: Known['cardsByKey']): string {
  return `${file.kind}/${cardOf(file, cardsByKey) ?? file.folders.join('/')}`;
}

/** How far device clocks are ahead, by the files that need no clock to be known. */
function clocks(pairs: readonly Pair[], known: Known): ReadonlyMap<string, number> {
  const offsets = new Map<string, number[]>();
  for (const { file, slot, score, alternatives } of pairs) {
    const offset = startOffset(file, slot);
    if (offset === null || score < WEIGHTS.timecodeBegins || alternatives.length > 0) continue;
    const key = deviceKey(file, known.cardsByKey);
    offsets.set(key, [...(offsets.get(key) ?? []), offset]);
  }
  const ahead = new Map<string, number>();
  for (const [key, list] of offsets) {
    const sorted = list.toSorted((a, b) => a - b);
    const median = sorted[Math.floor(sorted.length / 2)] ?? 0;
    const agreeing = list.filter((offset) => Math.abs(offset - median) <= CLOCK_AGREES_SECONDS).length;
    if (agreeing >= 2 && agreeing * 2 > list.length) ahead.set(key, median);
  }
  return ahead;
}

/**
 * Puts files to takes: at most one file to a camera or recorder of a take. What was put there before stays; a clock
 * that two sure files of a card agree to be wrong is put right, and everything weighed once more.
 */
export function pairFiles(
  files: readonly RecordedFile[],
  slots: readonly Slot[],
  known: Omit<Known, 'clockAhead'>,
): Pair[] {
  const once = (ahead: ReadonlyMap<string, number>): Pair[] => {
    const all: Known = {
      ...known,
      clockAhead: (file) => ahead.get(deviceKey(file, known.cardsByKey)) ?? 0,
    };
    const edges = edgesOf(files, slots, all);
    return judged(assign(edges), edges);
  };
  const first = once(new Map());
  const ahead = clocks(first, { ...known, clockAhead: () => 0 });
  const isOff = [...ahead.values()].some((seconds) => Math.abs(seconds) > CLOCK_AGREES_SECONDS);
  return isOff ? once(ahead) : first;
}
