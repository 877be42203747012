import type { Json } from '@plumbline/replica';
import { type ShootField, type ShootTable, tables } from '@plumbline/shared';
import * as z from 'zod/mini';
import type { PlainBoard } from '../support/shoot.ts';

/** The invented day of these papers. */
export const DAY = '2027-05-14';
export const MORNING = Date.UTC(2027, 4, 14, 6);

type Records = Record<string, Record<string, Record<string, Json>>>;

/** The records of the board: of each table at least one, each reference among them. */
const IDS: Readonly<Record<string, readonly string[]>> = {
  people: ['p1', 'p2'],
  shoot: ['shoot'],
  days: [DAY],
  places: ['mill'],
  lightReadings: ['mill.r1'],
  soundReadings: ['mill.r1'],
  photos: ['ph1'],
  loads: ['mill.1'],
  scenes: ['s1'],
  setups: ['1A', '1B'],
  cameras: ['A'],
  picture: ['1A.A', '1B.A'],
  recorders: ['R1'],
  inputs: ['1A.R1.1', '1B.R1.1'],
  takes: ['1A.1', '1A.2', '1B.1'],
  cards: ['c1'],
  kit: ['camera.k1'],
  custody: ['p1-1.1'],
  flags: ['f1'],
  accepted: ['exposure-differs.1B.A'],
};

/** Values of fields that no control describes. */
const SPECIAL: Readonly<Record<string, Json>> = {
  'places.circuits': [{ name: 'Stone floor', voltageV: 230, fuseA: 16, note: 'old wiring' }],
  'places.openings': [{ name: 'North window', bearingDeg: 12, arcDeg: 60 }],
  'cards.copies': [
    {
      where: 'Drive one',
      checked: 'checksum',
      at: MORNING,
      by: 'p1',
      sum: { kind: 'xxh64', value: '0123456789abcdef' },
    },
  ],
  'cards.copiesBefore': [{ where: 'Drive two', checked: 'byEye', at: MORNING, by: 'p1' }],
  'cards.preparedAt': [MORNING],
  'takes.cards': ['c1'],
  'takes.cardsIn': { A: 'c1' },
  'takes.asShotPicture': { A: { aperture: 4, iso: 400 } },
  'takes.asShotInputs': { 'R1.1': { source: 'Boom then' } },
  'takes.findingsAsShot': [
    { id: 'x.1A', rule: 'exposure-differs', severity: 'break', message: 'One stop brighter.' },
  ],
  'takes.changedWhileRolling': ['A.aperture'],
  'custody.event': { item: 'camera.k1', what: 'signOut', to: 'p2', signedBy: 'p1', at: MORNING },
  'accepted.values': { 'picture/1B.A/aperture': 4 },
  'flags.about': 'setups/1A',
  'photos.about': 'places/mill',
  'picture.raster': '1920x1080',
  'setups.day': DAY,
  'setups.matchGroup': 'bank',
  'setups.reference': '1A',
  'kit.dueBack': '2027-05-20',
  'days.breaks': ['13:00-13:45'],
  'shoot.timeZone': 'Europe/Copenhagen',
  'places.timeZone': 'Europe/Copenhagen',
};

/** What takes a record out of the lists, and what answers a flag. */
const RETIRED = new Set(['retired', 'leftAt', 'answer', 'answeredBy', 'answeredAt']);

/** A value that its field takes, made from what the field says of itself. */
function sample(table: string, name: string, field: ShootField, record: string): Json | undefined {
  const special = SPECIAL[`${table}.${name}`];
  if (special !== undefined) return special;
  const { control } = field;
  switch (control.kind) {
    case 'text':
      return `${name.slice(0, 6)} ${record}`.slice(0, control.maxLength);
    case 'choice':
      return control.options[0]?.value;
    case 'number':
      return Math.max(control.min, Math.min(control.max, 25));
    case 'fNumber':
      return 5.6;
    case 'shutter':
      return { angleDeg: 172.8 };
    case 'frameRate':
      return '25';
    case 'iso':
      return 800;
    case 'nd':
      return 0.6;
    case 'kelvin':
      return 5600;
    case 'switch':
      return true;
    case 'moment':
      return MORNING + (name === 'cutAt' ? 95_000 : 30_000);
    case 'clock':
      return '07:30';
    case 'timecode':
      return name === 'timecodeOut' ? '10:01:35:00' : '10:00:00:00';
    case 'reference':
      return IDS[control.table]?.[0];
    case 'list':
      if (control.of === 'number') return [0.3, 0.6];
      if (control.table !== undefined) return [IDS[control.table]?.[0] ?? 'x'];
      return [control.options?.[0] ?? 'One'];
    case 'object':
      return undefined;
  }
}

function put(board: Records, table: string, record: string, name: string, value: Json): void {
  const records = board[table] ?? {};
  records[record] = { ...records[record], [name]: value };
  board[table] = records;
}

/** A board with a value in every field that any paper has, each of which its field takes. */
export function fullBoard(): { readonly board: PlainBoard; readonly without: readonly string[] } {
  const board: Records = {};
  const without: string[] = [];
  for (const [table, declared] of Object.entries<ShootTable>(tables)) {
    for (const record of IDS[table] ?? []) {
      for (const [name, field] of Object.entries(declared.fields)) {
        if (RETIRED.has(name)) continue;
        const value = sample(table, name, field, record) ?? null;
        const fits = value !== null && z.safeParse(field.schema, value).success;
        if (fits) put(board, table, record, name, value);
        else if (field.papers.length > 0) without.push(`${table}.${name}`);
      }
    }
    if (!(table in IDS) && Object.values(declared.fields).some(({ papers }) => papers.length > 0)) {
      without.push(table);
    }
  }
  return { board, without };
}
