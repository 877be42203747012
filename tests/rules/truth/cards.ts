import { at } from './given.ts';
import type { Given, TruthTable } from './table.ts';

const copy = (where: string, checked: string, minute: number) => ({
  where,
  checked,
  at: at(minute),
  by: 'p1',
});
const TWO = [copy('disk 1', 'checksum', 20), copy('disk 2', 'byEye', 22)];

const SHOT: Given = [
  ['cards', 'c1', { name: 'A-01', state: 'cleared' }],
  ['takes', '1a.1', { rolledAt: at(10), cutAt: at(12), cards: ['c1'] }],
];
const COPIED: Given = [...SHOT, ['cards', 'c1', { copies: TWO }]];
const DIFFERS: Given = [
  ...SHOT,
  ['cards', 'c1', { state: 'copied', copies: [copy('disk 1', 'differs', 20)] }],
];
const IN_CAMERA: Given = [
  ['cards', 'c1', { name: 'A-01', state: 'full' }],
  ['cameras', 'A', { card: 'c1' }],
];

/** 230 V and 16 A: 3680 W at a power factor of 1; four fifths of 16 A are 12.8 A, which is 2944 W. */
const RING: Given = [
  [
    'places',
    'mill',
    {
      name: 'Mill',
      circuits: [
        { name: 'Ring A', voltageV: 230, fuseA: 16 },
        { name: 'Ring B', voltageV: 230, fuseA: 16 },
      ],
    },
  ],
];
const lamps = (watts: number, more: Readonly<Record<string, number | string>> = {}): Given => [
  ...RING,
  ['loads', 'mill.1', { circuit: 'Ring A', what: 'Lamp', watts, ...more }],
];

export const cardTables: Readonly<Record<string, TruthTable>> = {
  'media-card-cleared': {
    fires: [
      {
        when: 'it was cleared and a take on it has no copy',
        given: SHOT,
        scope: 'c1',
        message:
          'Card A-01 stands as cleared for preparing and holds 1a take 1 with no verified copy. Do not prepare it.',
        measured: 0,
      },
      {
        when: 'it was recorded on after it was verified',
        given: [
          ...COPIED,
          ['cards', 'c1', { state: 'verified' }],
          ['takes', '1b.1', { rolledAt: at(30), cutAt: at(31), cards: ['c1'] }],
        ],
        scope: 'c1',
        message: 'Card A-01 stands as verified and holds 1b take 1 with no verified copy. Do not prepare it.',
        measured: 0,
      },
    ],
    silent: [
      { when: 'two copies in two places', given: COPIED },
      { when: 'it does not stand as safe', given: [...SHOT, ['cards', 'c1', { state: 'out' }]] },
      { when: 'it is out of use', given: [...SHOT, ['cards', 'c1', { retired: true }]] },
      { when: 'nothing was recorded on it', given: [['cards', 'c1', { name: 'A-01', state: 'cleared' }]] },
    ],
    tolerance: {
      at: {
        when: 'one copy where one is asked for',
        given: [
          ...SHOT,
          ['cards', 'c1', { copies: TWO.slice(0, 1) }],
          ['shoot', 'shoot', { copiesRequired: 1 }],
        ],
      },
      beyond: {
        when: 'one copy where two are',
        given: [...SHOT, ['cards', 'c1', { copies: TWO.slice(0, 1) }]],
      },
    },
    missing: [],
    planned: null,
    other: [['cards', 'c1', { state: 'verified' }]],
  },

  'media-copy-differs': {
    fires: [
      {
        when: 'a copy was compared and is not the same',
        given: DIFFERS,
        scope: 'c1',
        message:
          'Card A-01: the copy on disk 1 differs from the card. Copy it again before the card is touched.',
        measured: 1,
      },
    ],
    silent: [
      {
        when: 'a later copy in the same place is the same',
        given: [
          ...DIFFERS,
          ['cards', 'c1', { copies: [copy('disk 1', 'differs', 20), copy('Disk 1', 'checksum', 40)] }],
        ],
      },
      {
        when: 'the card was prepared since: what is lost is told by another rule',
        given: [...DIFFERS, ['cards', 'c1', { preparedAt: [at(60)] }]],
      },
      {
        when: 'it was not compared',
        given: [...SHOT, ['cards', 'c1', { copies: [copy('disk 1', 'no', 20)] }]],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['cards', 'c1', { copies: [copy('disk 1', 'differs', 21)] }]],
  },

  'media-card-in-odd': {
    fires: [
      {
        when: 'a card that stands as full is in the camera',
        given: IN_CAMERA,
        scope: 'c1',
        message: 'Card A-01 is in camera A and stands as full. It was marked as full.',
        measured: 1,
      },
      {
        when: 'a copied card is put into a recorder again',
        given: [
          ['cards', 'c1', { name: 'S-01', state: 'copied', department: 'sound' }],
          ['recorders', 'R1', { card: 'c1' }],
        ],
        scope: 'c1',
        message:
          'Card S-01 is in recorder R1 and stands as copied. It was put back in after it was copied. What is recorded on it from now on is in none of its copies.',
        measured: 1,
      },
    ],
    silent: [
      { when: 'it is prepared', given: [...IN_CAMERA, ['cards', 'c1', { state: 'prepared' }]] },
      { when: 'it stands as in the camera', given: [...IN_CAMERA, ['cards', 'c1', { state: 'inCamera' }]] },
      { when: 'it is in none', given: [...IN_CAMERA, ['cameras', 'A', { card: null }]] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['cards', 'c1', { state: 'copied' }]],
  },

  'power-circuit-over': {
    fires: [
      {
        // 1800 W at a power factor of 0.6 are 3000 VA, 13.04 A at 230 V; two of them are 26.09 A.
        when: 'two discharge lamps of 1800 W at a power factor of 0.6 on 16 A',
        given: lamps(1800, { count: 2, powerFactor: 0.6 }),
        scope: 'mill.c1',
        message:
          'Mill, Ring A: 26.1 A planned on a fuse of 16 A; the fuse is for less. Ask a licensed electrician.',
        measured: (2 * 1800) / 0.6 / 230,
      },
      {
        when: 'what an item of the kit takes is counted, and a power factor that nobody entered as 1',
        given: [
          ...RING,
          ['kit', 'camera.lamp', { name: 'Big lamp', powerDrawW: 4000 }],
          ['loads', 'mill.1', { circuit: 'ring a', item: 'camera.lamp' }],
        ],
        scope: 'mill.c1',
        message:
          'Mill, Ring A: 17.4 A planned on a fuse of 16 A, power factor taken as 1 where none is entered; the fuse is for less. Ask a licensed electrician.',
        measured: 4000 / 230,
      },
    ],
    silent: [
      { when: 'it fits', given: lamps(2000, { powerFactor: 1 }) },
      { when: 'the load is retired', given: [...lamps(9000), ['loads', 'mill.1', { retired: true }]] },
      {
        when: 'it hangs on another circuit, or on none that the place has',
        given: lamps(9000, { circuit: 'Van' }),
      },
    ],
    tolerance: {
      at: { when: 'just 16 A', given: lamps(3680, { powerFactor: 1 }) },
      beyond: { when: 'a watt more', given: lamps(3681, { powerFactor: 1 }) },
    },
    missing: [
      {
        when: 'nobody entered what it takes',
        given: [...RING, ['loads', 'mill.1', { circuit: 'Ring A', what: 'Kettle' }]],
        missing: ['loads/mill.1/watts'],
      },
    ],
    planned: null,
    other: [['loads', 'mill.1', { watts: 2000 }]],
  },

  'power-circuit-margin': {
    fires: [
      {
        when: '3000 W at a power factor of 1 on 16 A, of which four fifths are 12.8 A',
        given: lamps(3000, { powerFactor: 1 }),
        scope: 'mill.c1',
        message:
          'Mill, Ring A: 13 A planned on a fuse of 16 A; more than 12.8 A should not stand on it for hours. Ask a licensed electrician.',
        measured: 3000 / 230,
      },
    ],
    silent: [
      { when: 'it is beyond the fuse, which is a fault', given: lamps(4000, { powerFactor: 1 }) },
      { when: 'nothing is planned', given: RING },
    ],
    tolerance: {
      at: { when: 'just 12.8 A', given: lamps(2944, { powerFactor: 1 }) },
      beyond: { when: 'a watt more', given: lamps(2945, { powerFactor: 1 }) },
    },
    missing: [],
    planned: null,
    other: [['loads', 'mill.1', { watts: 3100 }]],
  },
};
