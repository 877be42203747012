import { type Json, valueProblem } from '@plumbline/replica';
import {
  type Control,
  DEPARTMENTS,
  ROLES,
  type ShootField,
  type ShootTable,
  schemaDocument,
  TOLERANCES,
  tables,
  toleranceOf,
} from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import * as z from 'zod';
import { shootReader } from '../support/shoot.ts';

const allTables = Object.entries<ShootTable>(tables);
const allFields = allTables.flatMap(([table, { fields }]) =>
  Object.entries(fields).map(([field, declared]) => ({ name: `${table}.${field}`, table, field, declared })),
);

/** A value for each field that is no single box of a form. */
const OBJECTS: Readonly<Record<string, Json>> = {
  'places.circuits': [{ name: 'Ring A', voltageV: 230, fuseA: 16, note: 'by the door' }],
  'places.openings': [{ name: 'South window', bearingDeg: 190, arcDeg: 60, lowestDeg: 5, highestDeg: 55 }],
  'cards.copies': [{ where: 'disk 1', checked: 'checksum', at: 1_900_000_000_000, by: 'p3' }],
  'cards.copiesBefore': [
    {
      where: 'disk 1',
      checked: 'checksum',
      at: 1_900_000_000_000,
      by: 'p3',
      sum: { kind: 'xxh64', value: 'ef46db3751d8e999' },
      checkedAt: 1_900_000_060_000,
      checkedBy: 'p3',
    },
  ],
  'cards.preparedAt': [1_900_000_000_000],
  'batteries.readings': [{ percent: 80, at: 1_900_000_000_000 }],
  'takes.cardsIn': { 'cameras/A': 'A-01', 'cameras/A/2': 'A-02' },
  'takes.asShotPicture': { A: { aperture: 4, shutter: { angleDeg: 180 } } },
  'takes.asShotInputs': { 'R1.1': { source: 'Boom' } },
  'takes.findingsAsShot': [{ id: 'motion-over-frame.1A.A', rule: 'motion-over-frame', severity: 'fault' }],
  'recordings.facts': { container: 'MXF', frameRate: '25', frameRateExact: '25/1', audio: { channels: 2 } },
  'recordings.settled': { frameRate: 'file', codec: 'board' },
  'recordings.checksums': [{ kind: 'md5', value: 'd41d8cd98f00b204e9800998ecf8427e' }],
  'custody.event': {
    item: 'camera.lens-50',
    what: 'handOver',
    from: 'p2',
    to: 'p3',
    after: 'p2-1.4',
    attended: true,
    condition: 'good',
    remark: 'cap is missing',
    signedBy: 'p2',
    at: 1_900_000_000_000,
  },
  'asks.changes': [{ table: 'picture', record: '1A.A', field: 'aperture', value: 4 }],
  'asks.values': { 'picture/1A.A/aperture': 2.8 },
  'accepted.values': { 'picture/1A.A/aperture': 4 },
  'contested.about': { table: 'picture', record: '1A.A', field: 'aperture' },
  'contested.stands': [4, 5, 'p2-1'],
  'contested.other': [5.6, 4, 'p3-1'],
  'contested.earlier': [[8, 3, 'p4-1']],
};

/** A value for each line of text that has a form of its own. */
const FORMS: Readonly<Record<string, string>> = {
  'days.breaks': '13:00-13:45',
  'shoot.raster': '1920x1080',
  'picture.raster': '1920x1080',
  'kit.dueBack': '2027-05-16',
  'photos.about': 'places/mill',
  'photos.hash': 'a1'.repeat(32),
  'photos.thumbHash': 'b2'.repeat(32),
};

/** A sensible value and some that no field of this control may take. */
function examples(name: string, control: Control): { readonly good: Json; readonly bad: readonly Json[] } {
  const notANumber: readonly Json[] = ['a', true, [], {}, Number.MAX_VALUE, -Number.MAX_VALUE];
  switch (control.kind) {
    case 'text':
      return {
        good: FORMS[name] ?? 'abc'.slice(0, control.maxLength),
        bad: [1, false, [], {}, '', 'x'.repeat(control.maxLength + 1)],
      };
    case 'choice':
      return { good: control.options[0]?.value ?? '', bad: [1, true, '', 'no such word', 'constructor', []] };
    case 'number':
      return { good: control.min, bad: [...notANumber, control.min - 1e-3, control.max + 1] };
    case 'fNumber':
      return { good: 5.6, bad: [...notANumber, 0, 0.5, 65] };
    case 'shutter':
      return {
        good: { angleDeg: 180 },
        bad: [
          180,
          '1/50',
          {},
          { angleDeg: 0 },
          { angleDeg: 361 },
          { seconds: 0 },
          { angleDeg: 180, seconds: 0.02 },
        ],
      };
    case 'frameRate':
      return { good: '23.976', bad: [25, '', '0', '-25', '25 fps', '25,5', '24000/0', '1e3'] };
    case 'iso':
      return { good: 800, bad: [...notANumber, 0, 1e6] };
    case 'nd':
      return { good: 0.6, bad: [...notANumber, -0.3, 7] };
    case 'kelvin':
      return { good: 5600, bad: [...notANumber, 0, 50_000] };
    case 'switch':
      return { good: true, bad: [0, 1, 'yes', [], {}] };
    case 'moment':
      return { good: 1_900_000_000_000, bad: [-1, 0.5, 'now', true, {}, Number.MAX_VALUE] };
    case 'clock':
      return { good: '07:30', bad: ['7:30', '24:00', '07:60', '', 730] };
    case 'timecode':
      return { good: '10:02:33:12', bad: ['10:02:33', '24:00:00:00', '10:61:00:00', 0] };
    case 'reference':
      return { good: 'S1', bad: ['', 'a b', 'a/b', 'a..b', 'x'.repeat(41), 1, {}] };
    case 'list':
      return control.of === 'number'
        ? { good: [0.3], bad: [0.3, 'a', ['a'], [null], [[0.3]], {}] }
        : {
            good: [FORMS[name] ?? 'abc'],
            // the setups that need an item once stood there one by one, and still read
            bad: [
              ...(name === 'kit.neededBy' ? ['a b', ''] : ['abc']),
              [1],
              [''],
              ['x'.repeat(200)],
              {},
              Array.from({ length: 200 }, () => 'a'),
            ],
          };
    case 'object':
      return { good: OBJECTS[name] ?? null, bad: [1, 'abc', true] };
  }
}

describe('every field of the board', () => {
  it.each(allFields)('$name says what it is, in words', ({ declared }) => {
    expect(declared.label).toMatch(/^\p{Lu}.*[^.]$/u);
    expect(declared.help).toMatch(/^\p{Lu}.*[.…]$/u);
    expect(declared.help.length).toBeLessThan(140);
    expect(declared.unit).not.toBe('');
  });

  it.each(allFields)(
    '$name takes a sensible value, and null where it may be cleared',
    ({ name, declared }) => {
      const { good } = examples(name, declared.control);
      expect(good, 'an example').not.toBeNull();
      expect(valueProblem(declared, good)).toBeNull();
      expect(valueProblem(declared, null) === null).toBe(declared.nullable);
    },
  );

  it.each(allFields)('$name refuses nonsense with words for people', ({ name, declared }) => {
    for (const bad of examples(name, declared.control).bad) {
      const problem = valueProblem(declared, bad);
      expect(problem, JSON.stringify(bad)).not.toBeNull();
      if (name.startsWith('contested.') || declared.writers.length === 0) continue;
      // The library's own words are for programmers.
      expect(problem, JSON.stringify(bad)).not.toMatch(/invalid|expected|too (small|big)|received/i);
    }
  });

  it.each(allFields)('$name is not the producer’s to write', ({ declared }) => {
    expect(declared.writers).not.toContain('producer');
    for (const writer of declared.writers) expect(ROLES).toContain(writer);
  });

  it('names only tables, tolerances and units that exist', () => {
    for (const { name, declared } of allFields) {
      const { control, match } = declared;
      const refersTo = control.kind === 'reference' || control.kind === 'list' ? control.table : undefined;
      if (refersTo !== undefined) expect(Object.keys(tables), name).toContain(refersTo);
      if (match?.tolerance !== undefined) expect(Object.keys(TOLERANCES), name).toContain(match.tolerance);
    }
  });

  it('has one label in each table, so that a sheet’s header cannot mean two columns', () => {
    for (const [table, { fields }] of allTables) {
      const labels = Object.values(fields).map(({ label }) => label.toLowerCase());
      expect(new Set(labels).size, table).toBe(labels.length);
      const names = Object.keys(fields).map((field) => field.toLowerCase());
      for (const [index, label] of labels.entries()) {
        if (names.includes(label)) expect(names.indexOf(label), `${table}: ${label}`).toBe(index);
      }
    }
  });
});

describe('every table of the board', () => {
  it('is one of those that the design names, the crew that is expected, and what is asked of departments', () => {
    expect(Object.keys(tables).sort()).toEqual(
      [
        'people',
        'crew',
        'shoot',
        'days',
        'places',
        'lightReadings',
        'soundReadings',
        'photos',
        'scenes',
        'setups',
        'cameras',
        'picture',
        'recorders',
        'inputs',
        'takes',
        'recordings',
        'cards',
        'batteries',
        'kit',
        'custody',
        'flags',
        'asks',
        'checks',
        'routine',
        'loads',
        'contested',
        'accepted',
      ].sort(),
    );
  });

  it('leaves people and contested to the base, and appends only to custody', () => {
    for (const [name, { fields, appendOnly }] of allTables) {
      const baseAlone = Object.values(fields).every(({ writers }) => writers.length === 0);
      expect(baseAlone, name).toBe(name === 'people' || name === 'contested');
      expect(appendOnly, name).toBe(name === 'custody');
    }
  });

  it.each([
    ['shoot', ['director']],
    ['days', ['director']],
    ['crew', ['director']],
    ['scenes', ['director']],
    ['cameras', ['camera']],
    ['picture', ['camera']],
    ['recorders', ['sound']],
    ['inputs', ['sound']],
    ['cards', ['camera', 'sound']],
    ['batteries', ['camera', 'sound']],
    ['kit', [...DEPARTMENTS]],
    ['custody', [...DEPARTMENTS]],
    ['checks', [...DEPARTMENTS]],
    ['routine', [...DEPARTMENTS]],
    ['loads', [...DEPARTMENTS]],
    ['photos', [...DEPARTMENTS]],
    ['lightReadings', ['camera', 'director']],
    ['soundReadings', ['sound']],
    ['flags', [...DEPARTMENTS]],
    ['asks', [...DEPARTMENTS]],
    ['accepted', ['director']],
  ] as const)('%s is written by %s', (table, writers) => {
    for (const [field, { writers: given }] of Object.entries<ShootField>(tables[table].fields)) {
      expect([...given].sort(), field).toEqual([...writers].sort());
    }
  });

  it.each([
    ['rolledAt', ['camera', 'director', 'sound']],
    ['cutAt', ['camera', 'director', 'sound']],
    ['verdict', ['director']],
    ['clip', ['camera']],
    ['pictureNote', ['camera']],
    ['soundState', ['sound']],
    ['soundNote', ['sound']],
    ['asShotPicture', []],
    ['asShotInputs', []],
    ['cardsIn', []],
    ['changedWhileRolling', []],
    ['findingsAsShot', []],
  ] as const)('a take’s %s is written by %s', (field, writers) => {
    expect([...tables.takes.fields[field].writers].sort()).toEqual(writers);
  });
});

describe('tolerances', () => {
  it('hold what is usual until the shoot says otherwise', () => {
    expect(toleranceOf(shootReader({}), 'exposureToleranceStops')).toBe(0.3);
    const stricter = shootReader({ shoot: { shoot: { exposureToleranceStops: 0.1 } } });
    expect(toleranceOf(stricter, 'exposureToleranceStops')).toBe(0.1);
  });

  it.each(Object.entries(TOLERANCES))('%s has its usual value within its bounds', (name, tolerance) => {
    expect(tolerance.usual).toBeGreaterThanOrEqual(tolerance.min);
    expect(tolerance.usual).toBeLessThanOrEqual(tolerance.max);
    expect(Object.keys(tables.shoot.fields)).toContain(name);
  });
});

describe('the contract for names', () => {
  const document = schemaDocument();

  it('tells each field’s schema, unit, writers and label', () => {
    expect(Object.keys(document.tables)).toEqual(Object.keys(tables));
    expect(document.tables.picture?.fields.aperture).toEqual({
      schema: expect.objectContaining({ type: 'number', minimum: 0.7, maximum: 64 }),
      unit: null,
      writers: ['camera'],
      nullable: true,
      label: 'Aperture',
    });
    expect(document.tables.setups?.fields.state?.schema).toMatchObject({
      enum: ['planned', 'inWork', 'complete', 'dropped'],
    });
    expect(document.tables.custody).toMatchObject({ appendOnly: true });
  });

  it('is plain JSON, and the same each time', () => {
    expect(JSON.parse(JSON.stringify(document))).toEqual(document);
    expect(schemaDocument()).toEqual(document);
    expect(document.schema).toMatch(/^[0-9a-f]{16}$/);
  });

  it('accepts by its JSON Schema what the field’s own schema accepts', () => {
    for (const { name, table, field, declared } of allFields) {
      const { good, bad } = examples(name, declared.control);
      const described = document.tables[table]?.fields[field]?.schema;
      const schema = z.fromJSONSchema(z.record(z.string(), z.json()).parse(described));
      expect(schema.safeParse(good).success, name).toBe(true);
      if (table === 'contested') continue;
      expect(
        bad.filter((value) => schema.safeParse(value).success),
        name,
      ).toEqual([]);
    }
  });
});
