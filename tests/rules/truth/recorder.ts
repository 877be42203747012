import { at } from './given.ts';
import type { Given, TruthTable } from './table.ts';

/** The first setup in work with two channels open, takes of 60 minutes, and everything the recorder needs. */
const IN_WORK: Given = [
  ['setups', '1a', { state: 'inWork', takeMinutes: 60, startedAt: at(60) }],
  ['recorders', 'R1', { bitDepth: 24, card: 'c9', battery: 'v9', powerDrawW: 10 }],
  ['cards', 'c9', { name: 'S-09', capacityGB: 1.2, state: 'prepared' }],
  ['batteries', 'v9', { name: 'V-09', energyWh: 50, chargePercent: 100, checkedAt: at(60) }],
  ['inputs', '1a.R1.1', { source: 'Boom' }],
  ['inputs', '1a.R1.2', { source: 'Lapel' }],
];

const with_ = (...more: Given): Given => [...IN_WORK, ...more];

/** A camera whose battery is judged beside the recorder's. */
const CAMERA: Given = [
  ['cameras', 'A', { battery: 'v1', powerDrawW: 20 }],
  ['batteries', 'v1', { name: 'V-01', energyWh: 98, chargePercent: 50, checkedAt: at(0) }],
];

// Two channels of 48 kHz and 24 bit: 2 · 48 000 · 24 / 8 = 288 000 B/s, 60 min = 1.0368 GB. Own arithmetic on PCM.
// A battery of E Wh at p % on a load of P W, nine tenths of it usable: 60 · 0.9 · E · p/100 / P min.
export const recorderTables: Readonly<Record<string, TruthTable>> = {
  'media-recorder-card-short': {
    fires: [
      {
        when: '1 GB for an hour of two channels',
        given: with_(['cards', 'c9', { capacityGB: 1 }]),
        scope: '1a.R1',
        message:
          'Setup 1A, recorder Mixer: card S-09 holds 57 min more of 2 channels, a take may run 60 min. Nothing at hand mends it.',
        measured: 1e9 / 288_000 / 60,
      },
      {
        when: 'takes that are on it, one of four channels, leave too little',
        given: with_(
          ['cards', 'c9', { capacityGB: 1.2, preparedAt: [at(0)] }],
          [
            'takes',
            '1a.1',
            {
              rolledAt: at(10),
              cutAt: at(20),
              cards: ['c9'],
              asShotInputs: { 'R1.1': {}, 'R1.2': {}, 'R1.3': {}, 'R1.4': {} },
            },
          ],
        ),
        scope: '1a.R1',
        message:
          'Setup 1A, recorder Mixer: card S-09 holds 49 min more of 2 channels, a take may run 60 min. Nothing at hand mends it.',
        measured: (1.2e9 - 600 * 576_000) / 288_000 / 60,
      },
    ],
    silent: [
      { when: '1.2 GB', given: IN_WORK },
      { when: 'the setup is not in work', given: with_(['setups', '1a', { state: 'planned' }]) },
      { when: 'no longest take is planned', given: with_(['setups', '1a', { takeMinutes: null }]) },
      {
        when: 'no channel is open',
        given: with_(
          ['cards', 'c9', { capacityGB: 0.5 }],
          ['inputs', '1a.R1.1', { state: 'closed' }],
          ['inputs', '1a.R1.2', { state: 'closed' }],
        ),
      },
    ],
    tolerance: {
      at: { when: 'just the hour', given: with_(['cards', 'c9', { capacityGB: 1.0368 }]) },
      beyond: { when: 'a second less', given: with_(['cards', 'c9', { capacityGB: 1.0365 }]) },
    },
    missing: [
      {
        when: 'no card in the recorder',
        given: with_(['recorders', 'R1', { card: null }]),
        missing: ['recorders/R1/card'],
      },
      {
        when: 'capacity, rate and depth not entered',
        given: with_(
          ['cards', 'c9', { capacityGB: null }],
          ['recorders', 'R1', { sampleRateHz: null, bitDepth: null }],
        ),
        missing: ['cards/c9/capacityGB', 'recorders/R1/sampleRateHz', 'recorders/R1/bitDepth'],
      },
    ],
    planned: null,
    other: [['cards', 'c9', { capacityGB: 0.9 }]],
  },

  'power-recorder-short': {
    fires: [
      {
        when: '20 % of 50 Wh at 10 W for an hour: 60 · 0.9 · 10 / 10 = 54 min',
        given: with_(['batteries', 'v9', { chargePercent: 20 }]),
        scope: '1a.R1',
        message:
          'Setup 1A, recorder Mixer: battery V-09 at 20 % lasts about 54 min, a take may run 60 min. Nothing at hand mends it.',
        measured: 54,
      },
    ],
    silent: [
      { when: 'charged', given: IN_WORK },
      { when: 'the setup is complete', given: with_(['setups', '1a', { state: 'complete' }]) },
      {
        when: 'nothing is recorded on it',
        given: with_(
          ['inputs', '1a.R1.1', { state: 'closed' }],
          ['inputs', '1a.R1.2', { state: 'closed' }],
          ['batteries', 'v9', { chargePercent: 1 }],
        ),
      },
    ],
    tolerance: {
      at: {
        when: '54 min for 54',
        given: with_(['batteries', 'v9', { chargePercent: 20 }], ['setups', '1a', { takeMinutes: 54 }]),
      },
      beyond: {
        when: '54 min for 55',
        given: with_(['batteries', 'v9', { chargePercent: 20 }], ['setups', '1a', { takeMinutes: 55 }]),
      },
    },
    missing: [
      {
        when: 'no battery on it',
        given: with_(['recorders', 'R1', { battery: null }]),
        missing: ['recorders/R1/battery'],
      },
      {
        when: 'energy, charge and draw not entered',
        given: with_(
          ['batteries', 'v9', { energyWh: null, chargePercent: null }],
          ['recorders', 'R1', { powerDrawW: null }],
        ),
        missing: ['batteries/v9/energyWh', 'batteries/v9/chargePercent', 'recorders/R1/powerDrawW'],
      },
    ],
    planned: null,
    other: [['batteries', 'v9', { chargePercent: 15 }]],
  },

  'power-camera-drained': {
    fires: [
      {
        // 98 Wh at 50 % lasts 60 · 0.9 · 49 / 20 = 132.3 min. An hour at 20 W takes 20 Wh = 20.408 %: 29.592 % left,
        // 60 · 0.9 · 29 / 20 = 78.3 min.
        when: 'read an hour before work began, half full, for takes of 100 min',
        given: with_(...CAMERA, ['setups', '1a', { takeMinutes: 100, startedAt: at(60) }]),
        scope: '1a.A',
        message:
          'Setup 1A, camera A: battery V-01 was read at 50 % 60 min before; by now about 30 %, good for about 78 min, a take may run 1 h 40 min.',
        measured: 78.3,
      },
    ],
    silent: [
      { when: 'what is left is enough', given: with_(...CAMERA) },
      {
        when: 'it was too little when it was read: that is told as such',
        given: with_(...CAMERA, ['setups', '1a', { takeMinutes: 140 }]),
      },
      {
        when: 'read after the last roll',
        given: with_(
          ...CAMERA,
          ['setups', '1a', { takeMinutes: 100 }],
          ['batteries', 'v1', { checkedAt: at(61) }],
        ),
      },
      {
        when: 'it is on charge',
        given: with_(
          ...CAMERA,
          ['setups', '1a', { takeMinutes: 100 }],
          ['batteries', 'v1', { onChargeSince: at(1) }],
        ),
      },
      {
        when: 'the setup is planned',
        given: with_(...CAMERA, ['setups', '1a', { takeMinutes: 100, state: 'planned' }]),
      },
    ],
    tolerance: {
      at: { when: 'just enough', given: with_(...CAMERA, ['setups', '1a', { takeMinutes: 78.3 }]) },
      beyond: { when: 'a minute more', given: with_(...CAMERA, ['setups', '1a', { takeMinutes: 79 }]) },
    },
    missing: [
      {
        when: 'nobody noted when it was read',
        given: with_(...CAMERA, ['batteries', 'v1', { checkedAt: null }]),
        missing: ['batteries/v1/checkedAt'],
      },
    ],
    planned: null,
    other: [['batteries', 'v1', { chargePercent: 48 }]],
  },

  'power-recorder-drained': {
    fires: [
      {
        // 50 Wh at 10 W: an hour takes 10 Wh = 20 %. At 40 % it lasts 60 · 0.9 · 20 / 10 = 108 min; at 20 %, 54 min.
        when: 'read an hour before work began, at 40 %, for takes of an hour',
        given: with_(['batteries', 'v9', { chargePercent: 40, checkedAt: at(0) }]),
        scope: '1a.R1',
        message:
          'Setup 1A, recorder Mixer: battery V-09 was read at 40 % 60 min before; by now about 20 %, good for about 54 min, a take may run 60 min.',
        measured: 54,
      },
      {
        // By its own readings it gives 40 % of 50 Wh in 2 h = 10 W, whatever its plate says.
        when: 'its readings tell the drain where the recorder’s draw is smaller',
        given: with_(
          ['recorders', 'R1', { powerDrawW: 5 }],
          [
            'batteries',
            'v9',
            {
              chargePercent: 40,
              checkedAt: at(0),
              readings: [
                { percent: 80, at: at(-120) },
                { percent: 40, at: at(0) },
              ],
            },
          ],
        ),
        scope: '1a.R1',
        message:
          'Setup 1A, recorder Mixer: battery V-09 was read at 40 % 60 min before; by now about 20 %, good for about 54 min, a take may run 60 min.',
        measured: 54,
      },
    ],
    silent: [
      { when: 'read when work began', given: IN_WORK },
      { when: 'full when it was read', given: with_(['batteries', 'v9', { checkedAt: at(0) }]) },
    ],
    tolerance: {
      at: {
        when: '54 min for 54',
        given: with_(
          ['batteries', 'v9', { chargePercent: 40, checkedAt: at(0) }],
          ['setups', '1a', { takeMinutes: 54 }],
        ),
      },
      beyond: {
        when: '54 min for 55',
        given: with_(
          ['batteries', 'v9', { chargePercent: 40, checkedAt: at(0) }],
          ['setups', '1a', { takeMinutes: 55 }],
        ),
      },
    },
    missing: [
      {
        when: 'nobody noted when it was read',
        given: with_(['batteries', 'v9', { checkedAt: null }]),
        missing: ['batteries/v9/checkedAt'],
      },
    ],
    planned: null,
    other: [['batteries', 'v9', { chargePercent: 38 }]],
  },
};
