import { type BoardReader, type Derivation, type Entry, valueIn } from '@plumbline/replica';

/** A stamp counts 1,024 to the millisecond. */
const STAMPS_PER_MS = 1024;

/** Where a setup is shot: its own place, or its scene's. */
function placeOf(board: BoardReader, setup: string): unknown {
  const own = valueIn(board, 'setups', setup, 'place') ?? null;
  if (own !== null) return own;
  const scene = valueIn(board, 'setups', setup, 'scene');
  return typeof scene === 'string' ? (valueIn(board, 'scenes', scene, 'place') ?? null) : null;
}

/** The setups whose place an entry may have moved. */
function setupsTouched(after: BoardReader, { table, record, field }: Entry): string[] {
  if (table === 'setups' && (field === 'place' || field === 'scene')) return [record];
  if (table !== 'scenes' || field !== 'place') return [];
  return [...after.records('setups')].filter((setup) => valueIn(after, 'setups', setup, 'scene') === record);
}

/**
 * Notes when a setup was moved to another place: what was metered and balanced before was metered elsewhere. A setup
 * that had no place has not been moved by getting one.
 */
export const placeMoved: Derivation = ({ before, after, written }) => {
  const moved = new Map<string, number>();
  for (const entry of written) {
    for (const setup of setupsTouched(after, entry)) {
      const was = placeOf(before, setup);
      if (was === null || was === placeOf(after, setup)) continue;
      const stamp = after.cell(entry.table, entry.record, entry.field)?.[1] ?? 0;
      moved.set(setup, Math.max(moved.get(setup) ?? 0, Math.floor(stamp / STAMPS_PER_MS)));
    }
  }
  return [...moved].map(([record, value]) => ({ table: 'setups', record, field: 'placeChangedAt', value }));
};
