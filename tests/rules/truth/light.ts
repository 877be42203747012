import { at, reference, second, secondCamera } from './given.ts';
import type { Given, TruthTable } from './table.ts';

const INTERIOR: Given = [
  ['scenes', 's1', { inside: 'interior' }],
  ['setups', '1a', { scene: 's1' }],
  ['setups', '1b', { scene: 's1' }],
];
const EXTERIOR: Given = [
  ['scenes', 's1', { inside: 'exterior' }],
  ['setups', '1a', { scene: 's1' }],
  ['setups', '1b', { scene: 's1' }],
];
const SIXTY_HERTZ: Given = [['shoot', 'shoot', { mainsHz: '60' }]];

/** Of a lamp that goes dark in every pulse, after averaging over so many pulses: |sin(π p) / (π p)|, in percent. */
function residualPercent(pulses: number): number {
  return (100 * Math.abs(Math.sin(Math.PI * pulses))) / (Math.PI * pulses);
}

export const lightTables: Readonly<Record<string, TruthTable>> = {
  'exposure-gain': {
    fires: [
      {
        when: 'two stops more gain behind two stops more filter',
        given: second({ iso: 3200, ndDensity: 1.2 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, runs at 2.0 stops more gain than 1A: ISO 3200 against ISO 800.',
        measured: 2,
      },
      {
        when: 'gain in dB',
        given: [
          ['cameras', 'A', { gainConvention: 'gain' }],
          ...reference({ iso: null, gainDb: 12, ndDensity: 1.2 }),
          ...second({ iso: null, gainDb: 0, ndDensity: 0.6 }),
        ],
        scope: '1b.A',
        message: 'Setup 1B, camera A, runs at 2.0 stops less gain than 1A: 0 dB against 12 dB.',
        // −12 dB / (20 log10 2) = −1.9932
        measured: -12 / (20 * Math.log10(2)),
      },
    ],
    silent: [
      { when: 'the same gain', given: [] },
      { when: 'the exposures disagree, which is the finding', given: second({ iso: 3200 }) },
    ],
    tolerance: {
      at: { when: 'one stop', given: second({ iso: 1600, ndDensity: 0.9 }) },
      beyond: { when: 'a stop and a third', given: second({ iso: 2000, ndDensity: 1 }) },
    },
    missing: [
      { when: 'none is entered', given: second({ iso: null }), missing: ['picture/1b.A/iso'] },
      {
        when: 'the gain is over a base that nobody entered',
        given: [
          ['cameras', 'A', { gainConvention: 'gain', baseIso: null }],
          ...reference({ iso: null, gainDb: 0 }),
          ...second({ iso: null, gainDb: 0 }),
        ],
        missing: ['cameras/A/baseIso'],
      },
    ],
    planned: null,
    other: second({ iso: 4000, ndDensity: 1.3 }),
  },

  'exposure-ratio': {
    fires: [
      {
        when: 'eight to one beside four to one',
        given: [...reference({ fillLux: 250 }), ...second({ fillLux: 125 })],
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is lit with 1.0 stop more contrast than 1A: key to fill 8:1 against 4:1.',
        // log2(1000 / 125) − log2(1000 / 250) = 3 − 2
        measured: 1,
      },
      {
        when: 'two to one beside four to one',
        given: [...reference({ fillLux: 250 }), ...second({ fillLux: 500 })],
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is lit with 1.0 stop less contrast than 1A: key to fill 2:1 against 4:1.',
        measured: -1,
      },
    ],
    silent: [
      { when: 'nobody meters the fill', given: [] },
      {
        when: 'key and fill fell together',
        given: [...reference({ fillLux: 250 }), ...second({ keyLux: 500, fillLux: 125 })],
      },
    ],
    tolerance: {
      at: {
        when: 'half a stop',
        given: [...reference({ fillLux: 250 }), ...second({ fillLux: 250 * 2 ** 0.5 })],
      },
      beyond: {
        when: 'a little more',
        given: [...reference({ fillLux: 250 }), ...second({ fillLux: 250 * 2 ** 0.52 })],
      },
    },
    missing: [
      {
        when: 'the fill was read on one of them only',
        given: reference({ fillLux: 250 }),
        missing: ['picture/1b.A/fillLux'],
      },
      {
        when: 'the key was not read',
        given: [...reference({ fillLux: 250 }), ...second({ fillLux: 250, keyLux: null })],
        missing: ['picture/1b.A/keyLux'],
      },
    ],
    planned: null,
    other: second({ fillLux: 100 }),
  },

  'exposure-reading-old': {
    fires: [
      {
        when: 'a lamp was moved after the reading',
        given: [
          ['setups', '1b', { lightsChangedAt: at(30) }],
          ['picture', '1b.A', { meteredAt: at(5) }],
        ],
        scope: '1b.A',
        message: 'Setup 1B, camera A: the light was read 25 min before the lights were last changed.',
        measured: 25,
      },
      {
        when: 'outside, rolled an hour and a half after the reading',
        given: [
          ...EXTERIOR,
          ['picture', '1b.A', { meteredAt: at(0) }],
          ['takes', '1b.1', { rolledAt: at(20), cutAt: at(21) }],
          ['takes', '1b.2', { rolledAt: at(95) }],
        ],
        scope: '1b.A',
        message:
          'Setup 1B, camera A: the light was read 1 h 35 min before it was used, and daylight has moved since.',
        measured: 95,
      },
      {
        when: 'outside, read on the scouting visit and work begins',
        given: [
          ...EXTERIOR,
          ['setups', '1b', { startedAt: at(120) }],
          ['picture', '1b.A', { meteredAt: at(0) }],
        ],
        scope: '1b.A',
        message:
          'Setup 1B, camera A: the light was read 2 h 00 min before it was used, and daylight has moved since.',
        measured: 120,
      },
    ],
    silent: [
      { when: 'the lights were never changed and nothing rolled', given: [] },
      {
        when: 'read after the lights were set',
        given: [
          ['setups', '1b', { lightsChangedAt: at(30) }],
          ['picture', '1b.A', { meteredAt: at(31) }],
        ],
      },
      {
        when: 'inside, hours later, under lamps that nobody touched',
        given: [
          ...INTERIOR,
          ['picture', '1b.A', { meteredAt: at(0) }],
          ['takes', '1b.1', { rolledAt: at(300) }],
        ],
      },
      {
        when: 'nothing was read: there is no reading to be old',
        given: [
          ['setups', '1b', { lightsChangedAt: at(30) }],
          ['picture', '1b.A', { keyLux: null }],
        ],
      },
    ],
    tolerance: {
      at: {
        when: '60 minutes',
        given: [
          ...EXTERIOR,
          ['picture', '1b.A', { meteredAt: at(0) }],
          ['takes', '1b.1', { rolledAt: at(60) }],
        ],
      },
      beyond: {
        when: '61 minutes',
        given: [
          ...EXTERIOR,
          ['picture', '1b.A', { meteredAt: at(0) }],
          ['takes', '1b.1', { rolledAt: at(61) }],
        ],
      },
    },
    missing: [
      {
        when: 'the lights were changed and nobody said when the light was read',
        given: [['setups', '1b', { lightsChangedAt: at(30) }]],
        missing: ['picture/1b.A/meteredAt'],
      },
    ],
    planned: null,
    other: second({ meteredAt: at(6) }),
  },

  'colour-balance-old': {
    fires: [
      {
        when: 'a gel was put on after the balance was taken',
        given: [
          ['setups', '1b', { lightsChangedAt: at(30) }],
          ['picture', '1b.A', { whiteBalancedAt: at(20) }],
        ],
        scope: '1b.A',
        message: 'Setup 1B, camera A: white balance was taken 10 min before the lights were last changed.',
        measured: 10,
      },
    ],
    silent: [
      { when: 'the lights were never changed', given: second({ whiteBalancedAt: at(20) }) },
      {
        when: 'balanced in the same minute',
        given: [
          ['setups', '1b', { lightsChangedAt: at(30) }],
          ['picture', '1b.A', { whiteBalancedAt: at(30) }],
        ],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'nobody said when it was balanced',
        given: [['setups', '1b', { lightsChangedAt: at(30) }]],
        missing: ['picture/1b.A/whiteBalancedAt'],
      },
    ],
    planned: null,
    other: [['setups', '1b', { lightsChangedAt: at(31) }]],
  },

  'exposure-nd-tint': {
    fires: [
      {
        when: 'seven stops in full sun',
        given: [...reference({ ndDensity: 2.1 })],
        scope: '1a.A',
        message: 'Setup 1A, camera A: ND 2.1 takes 7.0 stops, which may tint.',
        measured: 2.1,
      },
    ],
    silent: [
      { when: 'two stops', given: [] },
      { when: 'none is entered', given: reference({ ndDensity: null }) },
      {
        when: 'the shoot trusts its filters further',
        given: [['shoot', 'shoot', { ndTintDensity: 2.4 }], ...reference({ ndDensity: 2.1 })],
      },
    ],
    tolerance: {
      at: { when: 'five stops', given: reference({ ndDensity: 1.5 }) },
      beyond: { when: 'six stops', given: reference({ ndDensity: 1.8 }) },
    },
    missing: [],
    planned: null,
    other: reference({ ndDensity: 2.4 }),
  },

  'motion-flicker': {
    fires: [
      {
        // common practice, no source: 1/50 is for 50 Hz, 1/60 for 60 Hz
        when: '1/50 s under 60 Hz at 25 frames/s',
        given: [
          ...INTERIOR,
          ...SIXTY_HERTZ,
          ...reference({ shutter: { seconds: 1 / 60 } }),
          ...second({ shutter: { seconds: 1 / 50 } }),
        ],
        scope: '1b.A',
        message:
          'Setup 1B, camera A: at 1/50 s and 25 frames/s, lamps on 60 Hz mains can pulse by up to 12.6 %, 5 times a second.',
        // 120 pulses a second for 1/50 s are 2.4; the beat is 5 · 25 − 120 = 5 Hz
        measured: residualPercent(2.4),
      },
      {
        when: '180° at 24 frames/s under 50 Hz, under filament lamps at night outside',
        given: [
          ['setups', '1b', { lightsK: 3200 }],
          ['shoot', 'shoot', { frameRate: '24' }],
          ...reference({ frameRate: null }),
          ...second({ frameRate: null, shutter: { angleDeg: 180 } }),
        ],
        scope: '1b.A',
        message:
          'Setup 1B, camera A: at 1/48 s and 24 frames/s, lamps on 50 Hz mains can pulse by up to 4 %, 4 times a second.',
        // 100 / 48 pulses; 100 − 4 · 24 = 4 Hz
        measured: residualPercent(100 / 48),
      },
      {
        when: '1/200 s at 25 frames/s under 50 Hz, which stands as bands',
        given: [['setups', '1b', { lightsK: 3200 }], ...second({ shutter: { seconds: 1 / 200 } })],
        scope: '1b.A',
        message:
          'Setup 1B, camera A: at 1/200 s and 25 frames/s, lamps on 50 Hz mains can stand as bands of up to 63.7 %.',
        // half a pulse: 2 / π
        measured: 200 / Math.PI,
      },
    ],
    silent: [
      {
        when: '1/60 s under 60 Hz at 25 frames/s',
        given: [
          ...INTERIOR,
          ...SIXTY_HERTZ,
          ...reference({ shutter: { seconds: 1 / 60 } }),
          ...second({ shutter: { seconds: 1 / 60 } }),
        ],
      },
      { when: '180° at 25 frames/s under 50 Hz', given: INTERIOR },
      {
        when: 'outside by day',
        given: [...EXTERIOR, ...second({ shutter: { seconds: 1 / 500 } })],
      },
      {
        when: '24 frames/s under 60 Hz, which stands still',
        given: [
          ...INTERIOR,
          ['shoot', 'shoot', { frameRate: '24', mainsHz: '60' }],
          ...reference({ frameRate: null }),
          ...second({ frameRate: null }),
        ],
      },
      {
        when: '172.8° at 24 frames/s under 50 Hz: 1/50 s exactly',
        given: [
          ...INTERIOR,
          ['shoot', 'shoot', { frameRate: '24' }],
          ...reference({ frameRate: null, shutter: { angleDeg: 172.8 } }),
          ...second({ frameRate: null, shutter: { angleDeg: 172.8 } }),
        ],
      },
    ],
    tolerance: {
      at: {
        when: 'the tolerance set to just what is left',
        given: [
          ...INTERIOR,
          ['shoot', 'shoot', { mainsHz: '60', flickerTolerancePercent: residualPercent(2.4) }],
        ],
      },
      beyond: {
        when: 'a tenth of a percent less',
        given: [
          ['setups', '1b', { lightsK: 3200 }],
          ['shoot', 'shoot', { mainsHz: '60', flickerTolerancePercent: residualPercent(2.4) - 0.1 }],
        ],
      },
    },
    missing: [
      {
        when: 'the mains are not known',
        given: [
          ['setups', '1b', { lightsK: 3200 }],
          ['setups', '1a', { lightsK: 5600 }],
          ['shoot', 'shoot', { mainsHz: null }],
        ],
        missing: ['shoot/shoot/mainsHz'],
      },
      {
        when: 'nobody said what lights it, and lamps would show',
        given: [['setups', '1a', { lightsK: 5600 }], ...SIXTY_HERTZ],
        missing: ['setups/1b/lightsK'],
      },
    ],
    planned: null,
    other: second({ shutter: { seconds: 1 / 48 } }),
  },

  'exposure-cameras': {
    fires: [
      {
        when: 'the second camera is a stop more open',
        given: secondCamera({ aperture: 2.8 }),
        scope: '1a.A.B',
        message: 'Setup 1A: camera B comes out 1.0 stop brighter than camera A.',
        measured: 1,
      },
    ],
    silent: [
      { when: 'there is one camera', given: [] },
      { when: 'both expose alike', given: secondCamera({ aperture: 2.8, ndDensity: 0.9 }) },
      {
        when: 'each is held against its reference: the difference stands there',
        given: [
          ...secondCamera({}),
          [
            'picture',
            '1b.B',
            { aperture: 2.8, shutter: { angleDeg: 180 }, iso: 800, ndDensity: 0.6, keyLux: 1000 },
          ],
        ],
      },
    ],
    tolerance: {
      at: { when: '0.3 stop', given: secondCamera({ keyLux: 1000 * 2 ** 0.3 }) },
      beyond: { when: '0.31 stop', given: secondCamera({ keyLux: 1000 * 2 ** 0.31 }) },
    },
    missing: [
      {
        when: 'its light was not read',
        given: secondCamera({ keyLux: null }),
        missing: ['picture/1a.B/keyLux'],
      },
    ],
    planned: null,
    other: [['picture', '1a.B', { iso: 640 }]],
  },
};
