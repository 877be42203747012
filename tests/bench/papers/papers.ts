import { PaperMakers } from '@plumbline/base';
import { newDocument, stampAt, writeCells } from '@plumbline/replica';
import { PAPERS } from '@plumbline/shared/papers';
import { dayValues, type ShootValue, shootValues } from '../boards/shootDays.ts';

/** How often each is made; the first, which reads the fonts, is told by itself. */
const ROUNDS = 3;
const CLIENT = 7;

/** Two of the invented days as one: 40 setups, with ten takes each. */
function values(): ShootValue[] {
  const days = [...shootValues(), ...dayValues(0), ...dayValues(1)];
  const takes = days.filter(({ table }) => table === 'takes');
  const more = takes.flatMap((value): ShootValue[] => {
    const [setup = '', number = '1'] = value.record.split('.');
    const copies = Number(number) <= 2 ? [4, 8] : [4];
    return copies.map((step) => ({ ...value, record: `${setup}.${Number(number) + step}` }));
  });
  return [...days, ...more];
}

const doc = newDocument(CLIENT);
const stamp = stampAt(Date.UTC(2031, 2, 2, 18));
const all = values();
const update = writeCells(
  doc,
  all.map(({ table, record, field, value }) => ({ table, record, field, cell: [value, stamp, 'p1-1'] })),
);
const board = {
  spans: [{ client: CLIENT, updates: [update] }],
  seq: all.length,
  at: Date.UTC(2031, 2, 2, 18),
};
const count = (table: string): number =>
  new Set(all.filter((value) => value.table === table).map(({ record }) => record)).size;

let latest = 0;
let due = performance.now() + 1;
const tick = setInterval(() => {
  latest = Math.max(latest, performance.now() - due);
  due = performance.now() + 1;
}, 1);

/** The same with nothing going on, to compare with: the machine itself is late at times. */
await new Promise((resolve) => setTimeout(resolve, 5000));
const idle = latest;
latest = 0;

const makers = new PaperMakers();
console.log(`${count('setups')} setups, ${count('takes')} takes, ${all.length} values`);
console.log('| paper | PDF first, ms | PDF, ms | kB | pages | CSV, ms | kB | JSON, ms | kB |');
console.log('|---|--:|--:|--:|--:|--:|--:|--:|--:|');
for (const { kind, title } of PAPERS) {
  const cells: string[] = [];
  for (const form of ['pdf', 'csv', 'json']) {
    const times: number[] = [];
    let bytes = 0;
    let pages = 0;
    for (let round = 0; round <= ROUNDS; round++) {
      const start = performance.now();
      const file = await makers.make({ board: 'b', file: `${kind}.${form}`, size: 'A4' }, board);
      times.push(performance.now() - start);
      bytes = file.bytes.length;
      if (form === 'pdf')
        pages =
          Buffer.from(file.bytes)
            .toString('latin1')
            .split(/\/Type \/Page\b(?!s)/).length - 1;
    }
    const [first = 0, ...rest] = times;
    const usual = rest.sort((a, b) => a - b)[Math.floor(rest.length / 2)] ?? 0;
    if (form === 'pdf') cells.push(first.toFixed(0));
    cells.push(usual.toFixed(0), (bytes / 1000).toFixed(0));
    if (form === 'pdf') cells.push(String(pages));
  }
  console.log(`| ${title} | ${cells.join(' | ')} |`);
}
clearInterval(tick);
console.log(
  `a timer of 1 ms was at most ${latest.toFixed(1)} ms late meanwhile, and ${idle.toFixed(1)} ms in 5 s with nothing to do`,
);
process.exit(0);
