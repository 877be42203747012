import type { Values } from '../scene.ts';
import type { Given, TruthTable } from './table.ts';

function channel(number: number, values: Values, setup = '1a'): Given[number] {
  return ['inputs', `${setup}.R1.${number}`, values];
}

const LINED_UP: Given = [['shoot', 'shoot', { alignmentDbfs: -18 }]];
const SCENE: Given = [
  ['setups', '1a', { scene: 's1' }],
  ['setups', '1b', { scene: 's1' }],
];
const BOOM_AND_LAPEL: Given = [
  ...SCENE,
  channel(1, { source: 'Boom' }),
  channel(2, { source: 'Lapel', subject: 'Host' }),
];

export const channelTables: Readonly<Record<string, TruthTable>> = {
  'sound-phantom-missing': {
    fires: [
      {
        when: 'a condenser microphone is not fed',
        given: [channel(1, { source: 'Boom', needsPhantom: true, phantom: 'off' })],
        scope: '1a.R1.1',
        message: 'Setup 1A: Boom on channel 1 needs phantom power, and it is off.',
        measured: 0,
      },
    ],
    silent: [
      { when: 'it is fed', given: [channel(1, { source: 'Boom', needsPhantom: true, phantom: 'p48' })] },
      {
        when: 'it needs none',
        given: [channel(1, { source: 'Lapel', needsPhantom: false, phantom: 'off' })],
      },
      { when: 'nobody said what it needs', given: [channel(1, { source: 'Lapel', phantom: 'off' })] },
      {
        when: 'the channel is closed',
        given: [channel(1, { source: 'Boom', needsPhantom: true, phantom: 'off', state: 'closed' })],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'nobody said whether it is fed',
        given: [channel(1, { source: 'Boom', needsPhantom: true })],
        missing: ['inputs/1a.R1.1/phantom'],
      },
    ],
    planned: null,
    other: [channel(1, { connector: 'balanced' })],
  },

  'sound-phantom-harm': {
    fires: [
      {
        when: 'a receiver is fed',
        given: [channel(2, { source: 'Lapel', connector: 'radio', phantom: 'p48' })],
        scope: '1a.R1.2',
        message: 'Setup 1A: P48 is fed to a radio receiver, Lapel on channel 2, which can harm it.',
        measured: 48,
      },
      {
        when: 'a 3.5 mm plug is fed',
        given: [channel(2, { source: 'Lapel', connector: 'unbalanced', phantom: 'p12' })],
        scope: '1a.R1.2',
        message: 'Setup 1A: P12 is fed to an unbalanced 3.5 mm plug, Lapel on channel 2, which can harm it.',
        measured: 12,
      },
    ],
    silent: [
      {
        when: 'a receiver is not fed',
        given: [channel(2, { source: 'Lapel', connector: 'radio', phantom: 'off' })],
      },
      {
        when: 'a balanced microphone is fed',
        given: [channel(2, { source: 'Boom', connector: 'balanced', phantom: 'p48' })],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [channel(2, { phantom: 'p24' })],
  },

  'sound-phantom-idle': {
    fires: [
      {
        when: 'a moving-coil microphone is fed',
        given: [
          channel(1, { source: 'Reporter', connector: 'balanced', needsPhantom: false, phantom: 'p48' }),
        ],
        scope: '1a.R1.1',
        message: 'Setup 1A: Reporter on channel 1 is fed P48 and needs none.',
        measured: 48,
      },
    ],
    silent: [
      { when: 'not fed', given: [channel(1, { source: 'Reporter', needsPhantom: false, phantom: 'off' })] },
      {
        when: 'it is a line, which is the graver finding',
        given: [channel(1, { source: 'Desk', connector: 'line', needsPhantom: false, phantom: 'p48' })],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [channel(1, { phantom: 'p24' })],
  },

  'sound-level': {
    fires: [
      {
        when: 'peaks above −9 dBFS at an alignment of −18',
        given: [...LINED_UP, channel(1, { source: 'Boom', levelDbfs: -6 })],
        scope: '1a.R1.1',
        message: 'Setup 1A: Boom on channel 1 peaks at −6 dBFS, above −9 dBFS.',
        measured: -6,
      },
      {
        when: 'far below',
        given: [...LINED_UP, channel(1, { source: 'Boom', levelDbfs: -45 })],
        scope: '1a.R1.1',
        message: 'Setup 1A: Boom on channel 1 peaks at −45 dBFS, below −38 dBFS.',
        measured: -45,
      },
    ],
    silent: [
      {
        when: 'at the alignment level',
        given: [...LINED_UP, channel(1, { source: 'Boom', levelDbfs: -18 })],
      },
      {
        when: 'the channel is closed',
        given: [...LINED_UP, channel(1, { source: 'Boom', levelDbfs: -3, state: 'closed' })],
      },
    ],
    tolerance: {
      // EBU R 68: −18 + 9
      at: { when: '9 dB above', given: [...LINED_UP, channel(1, { source: 'Boom', levelDbfs: -9 })] },
      beyond: { when: '10 dB above', given: [...LINED_UP, channel(1, { source: 'Boom', levelDbfs: -8 })] },
    },
    missing: [
      {
        when: 'neither level nor alignment is known',
        given: [channel(1, { source: 'Boom' })],
        missing: ['inputs/1a.R1.1/levelDbfs', 'shoot/shoot/alignmentDbfs'],
      },
    ],
    planned: {
      when: 'a safety copy runs low',
      given: [
        ...LINED_UP,
        channel(1, { source: 'Boom', levelDbfs: -18 }),
        channel(2, { source: 'Boom', safetyOf: 1, levelDbfs: -40 }),
      ],
    },
    other: [channel(1, { levelDbfs: -5 })],
  },

  'sound-limiter': {
    fires: [
      {
        when: 'it was seen to act',
        given: [channel(1, { source: 'Boom', limiter: true, limiterCatching: true })],
        scope: '1a.R1.1',
        message: 'Setup 1A: the limiter catches Boom on channel 1.',
        measured: 1,
      },
    ],
    silent: [
      {
        when: 'it is on and rests',
        given: [channel(1, { source: 'Boom', limiter: true, limiterCatching: false })],
      },
      { when: 'nobody looked', given: [channel(1, { source: 'Boom', limiter: true })] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [channel(1, { levelDbfs: -6 })],
  },

  'sound-carrier-twice': {
    fires: [
      {
        when: 'two lapels on one carrier',
        given: [
          channel(1, { source: 'Lapel 1', connector: 'radio', carrierMHz: 606.5 }),
          channel(2, { source: 'Lapel 2', connector: 'radio', carrierMHz: 606.5 }),
        ],
        scope: '1a.R1.2',
        message: 'Setup 1A: Lapel 2 on channel 2 has the carrier of Lapel 1, 606.5 MHz.',
        measured: 606.5,
      },
    ],
    silent: [
      {
        when: 'two carriers',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 606.5 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 610.25 }),
        ],
      },
      {
        when: 'one of them is closed',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 606.5 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 606.5, state: 'closed' }),
        ],
      },
    ],
    tolerance: null,
    missing: [],
    planned: {
      when: 'one receiver on two channels, as a safety copy',
      given: [
        channel(1, { source: 'Lapel 1', carrierMHz: 606.5 }),
        channel(2, { source: 'Lapel 1 low', carrierMHz: 606.5, safetyOf: 1 }),
      ],
    },
    other: [channel(2, { source: 'Lapel 3' })],
  },

  'sound-carrier-products': {
    fires: [
      {
        when: 'three carriers evenly spaced',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 604 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 612.5 }),
          channel(3, { source: 'Lapel 3', carrierMHz: 621 }),
          channel(4, { source: 'Lapel 4', carrierMHz: 608.2, state: 'closed' }),
        ],
        scope: '1a',
        // 2 · 612.5 − 621 = 604 and 2 · 612.5 − 604 = 621, both exactly
        message:
          'Setup 1A: 2 · 612.5 − 621 MHz falls on Lapel 1 (604 MHz) and 2 · 612.5 − 604 MHz falls on Lapel 3 (621 MHz).',
        measured: 0,
      },
    ],
    silent: [
      {
        when: 'two carriers, whose products fall outside',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 606.5 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 610.25 }),
        ],
      },
      {
        when: 'the channel that made it is closed',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 604 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 612.5, state: 'closed' }),
          channel(3, { source: 'Lapel 3', carrierMHz: 621 }),
        ],
      },
    ],
    tolerance: {
      // 2 · 612.5 − 604 = 621, which 621.1 is 100 kHz from: itself too close; and 2 · 612.5 − 621.1 = 603.9 likewise
      at: {
        when: '101 kHz away',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 604 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 612.5 }),
          channel(3, { source: 'Lapel 3', carrierMHz: 621.101 }),
        ],
      },
      beyond: {
        when: '100 kHz away',
        given: [
          channel(1, { source: 'Lapel 1', carrierMHz: 604 }),
          channel(2, { source: 'Lapel 2', carrierMHz: 612.5 }),
          channel(3, { source: 'Lapel 3', carrierMHz: 621.1 }),
        ],
      },
    },
    missing: [
      {
        when: 'a radio microphone has no carrier entered',
        given: [channel(1, { source: 'Lapel 1', connector: 'radio' })],
        missing: ['inputs/1a.R1.1/carrierMHz'],
      },
    ],
    planned: null,
    other: [channel(3, { carrierMHz: 621.02 })],
  },

  'sound-channel-order': {
    fires: [
      {
        when: 'boom and lapel changed places',
        given: [
          ...BOOM_AND_LAPEL,
          channel(1, { source: 'Lapel', subject: 'Host' }, '1b'),
          channel(2, { source: 'Boom' }, '1b'),
        ],
        scope: '1b.R1',
        message: 'Setup 1B: channels changed since 1A: Lapel from 2 to 1 and Boom from 1 to 2.',
        measured: 2,
      },
      {
        when: 'one moved to a free channel',
        given: [...BOOM_AND_LAPEL, channel(3, { source: 'boom ' }, '1b')],
        scope: '1b.R1',
        message: 'Setup 1B: channels changed since 1A: boom from 1 to 3.',
        measured: 1,
      },
    ],
    silent: [
      {
        when: 'the same order, with one more',
        given: [
          ...BOOM_AND_LAPEL,
          channel(1, { source: 'Boom' }, '1b'),
          channel(2, { source: 'Lapel', subject: 'Host' }, '1b'),
          channel(3, { source: 'Room' }, '1b'),
        ],
      },
      {
        when: 'a lapel on somebody else is another source',
        given: [...BOOM_AND_LAPEL, channel(3, { source: 'Lapel', subject: 'Guest' }, '1b')],
      },
      {
        when: 'the setups belong to two scenes',
        given: [...BOOM_AND_LAPEL, ['setups', '1b', { scene: 's2' }], channel(3, { source: 'Boom' }, '1b')],
      },
      {
        when: 'it stands on its channel as well, with a safety copy elsewhere',
        given: [
          ...BOOM_AND_LAPEL,
          channel(1, { source: 'Boom' }, '1b'),
          channel(4, { source: 'Boom', safetyOf: 1 }, '1b'),
        ],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [channel(1, { source: 'lapel' }, '1b')],
  },
};
