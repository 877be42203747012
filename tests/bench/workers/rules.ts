import { LiveBoard, readerOf, stampAt } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import { createFindings, evaluate } from '@plumbline/shared/rules';
import { z } from 'zod';
import { stateOf } from '../boards/documents.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { median, quantile } from '../figures.ts';

/** Judges the board of a shoot of so many days: from scratch, and after one edit. */
const { days, edits } = z
  .object({ days: z.int(), edits: z.int() })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const { state, values } = stateOf({ days });
const reader = readerOf(tables, state);

function timed<T>(act: () => T): { milliseconds: number; result: T } {
  const start = performance.now();
  const result = act();
  return { milliseconds: performance.now() - start, result };
}

const bare: number[] = [];
const mended: number[] = [];
let findings = 0;
for (let round = 0; round < (days > 20 ? 3 : 7); round++) {
  bare.push(timed(() => evaluate(reader)).milliseconds);
  // A finding works out what would mend it when somebody looks.
  const whole = timed(() => evaluate(reader).findings.map((finding) => ({ ...finding })));
  mended.push(whole.milliseconds);
  findings = whole.result.length;
}

const live = new LiveBoard(tables, () => state);
const following = timed(() => {
  const made = createFindings(live);
  made.all.peek();
  return made;
});
const MARKS = [2.8, 4, 5.6];
const each: number[] = [];
for (let n = 0; n < edits * 1.2; n++) {
  const record = `${setupId((n * 7) % days, (n * 3) % DAY.setups)}.${DAY.cameras[n % DAY.cameras.length]}`;
  const address = { table: 'picture', record, field: 'aperture' };
  const { milliseconds } = timed(() => {
    state.set(address, [MARKS[n % MARKS.length] ?? 4, stampAt(Date.UTC(2031, 5, 1)) + n, 'p7-1']);
    live.changed([address]);
    return following.result.all.value.length;
  });
  if (n >= edits * 0.2) each.push(milliseconds);
}
following.result.dispose();
process.send?.({
  values,
  findings,
  fromScratch: median(bare),
  withRemedies: median(mended),
  firstFollow: following.milliseconds,
  edit: { median: median(each), p99: quantile(each, 0.99) },
});
process.disconnect();
