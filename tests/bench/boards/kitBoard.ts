import { writeFileSync } from 'node:fs';
import { type CellWrite, stampAt, writeCells } from '@plumbline/replica';
import { type CustodyAct, custodyEvent, foldCustody, type SignedEvent } from '@plumbline/shared/kit';
import * as Y from 'yjs';
import { CLIENT, type ShootDocument } from '../bench.ts';

const BEGUN = Date.UTC(2024, 0, 1, 6);
const HANDS = ['h1', 'h2', 'h3', 'h4', 'h5', 'h6'] as const;
const NAMES = ['Ilse Marrowby', 'Teodor Vance', 'Nkechi Aldous', 'Rafiq Thorne', 'Maren Holt', 'Odile Crane'];
const KINDS = ['Lens', 'Camera', 'Light', 'Support', 'Microphone', 'Cable', 'Monitor', 'Power'];
const DEPARTMENTS = ['camera', 'sound', 'director'];

function itemOf(n: number): string {
  return `${DEPARTMENTS[n % 3]}.item-${n}`;
}

/** What happens to an item of the kit, over and over: out, offered, taken, set down, back. Every 50th ends in a fork. */
function eventsOf(n: number, many: number): SignedEvent[] {
  const item = itemOf(n);
  const events: SignedEvent[] = [];
  for (let step = 0; step < many; step++) {
    const holder = HANDS[(n + Math.floor(step / 5)) % HANDS.length] ?? 'h1';
    const other = HANDS[(n + Math.floor(step / 5) + 1) % HANDS.length] ?? 'h2';
    const acts: readonly (readonly [by: string, act: Omit<CustodyAct, 'item'>])[] = [
      [holder, { what: 'signOut', to: holder, looked: ['body', 'caps'] }],
      [holder, { what: 'handOver', to: other }],
      [other, { what: 'takeOver', to: other }],
      [other, { what: 'setDown', attended: true, where: 'by the cart' }],
      [other, { what: 'return', condition: 'good' }],
    ];
    const [me, act] = acts[step % 5] ?? [holder, { what: 'return' }];
    const isForked = n % 50 === 0 && step === many - 1;
    const custody = foldCustody(item, isForked ? events.slice(0, -1) : events);
    const event = custodyEvent({ item, ...act }, { me, custody }, BEGUN + (n * many + step) * 1000);
    events.push({ record: `${me}-1.${n * many + step + 1}`, event });
  }
  return events;
}

/** A board with so many items and events, encoded as a base keeps it. */
export function kitDocument(path: string, items: number, events: number): ShootDocument {
  const doc = new Y.Doc();
  doc.clientID = CLIENT;
  let written = 0;
  const write = (
    table: string,
    record: string,
    fields: Readonly<Record<string, CellWrite['cell'][0]>>,
  ): void => {
    writeCells(
      doc,
      Object.entries(fields).map(([field, value]): CellWrite => {
        written += 1;
        return { table, record, field, cell: [value, stampAt(BEGUN) + written, 'h1-1'] };
      }),
    );
  };
  write('shoot', 'shoot', { title: 'The rope walk' });
  HANDS.forEach((id, index) => {
    write('people', id, { name: NAMES[index] ?? id, role: 'camera' });
  });
  for (const camera of ['A', 'B']) write('cameras', camera, { name: `Camera ${camera}` });
  const each = Math.floor(events / items);
  for (let n = 0; n < items; n++) {
    const kind = KINDS[n % KINDS.length] ?? 'Lens';
    write('kit', itemOf(n), {
      name: `${kind} ${Math.floor(n / KINDS.length) + 1}, invented`,
      kind,
      serial: `${kind.slice(0, 2).toUpperCase()}-${10_000 + n}`,
      value: 100 + n,
      packedIn: `Case ${1 + (n % 40)}`,
      condition: 'good',
      ...(n < 2 && { camera: n === 0 ? 'A' : 'B' }),
    });
    for (const { record, event } of eventsOf(n, each)) write('custody', record, { event: { ...event } });
  }
  const bytes = Y.encodeStateAsUpdate(doc);
  writeFileSync(path, bytes);
  return { days: 0, path, bytes: bytes.byteLength, written };
}
