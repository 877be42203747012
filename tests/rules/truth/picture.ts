import { STANDARD_PICTURE } from '../scene.ts';
import { reference, second, secondCamera } from './given.ts';
import type { TruthTable } from './table.ts';

export const pictureTables: Readonly<Record<string, TruthTable>> = {
  'exposure-offset': {
    fires: [
      {
        when: 'the aperture is opened by a stop at the same light',
        given: second({ aperture: 2.8 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, comes out 1.0 stop brighter than 1A, at f/2.8 against f/4.',
        // 2 log2(4 / 2.8284) = 1
        measured: 1,
      },
      {
        when: 'the light falls to a quarter and nobody follows',
        given: second({ keyLux: 250 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, comes out 2.0 stops darker than 1A.',
        // log2(250 / 1000) = −2
        measured: -2,
      },
      {
        when: 'a filter is taken off',
        given: second({ ndDensity: 0 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, comes out 2.0 stops brighter than 1A.',
        // 0.6 / log10 2 = 1.9932
        measured: 0.6 / Math.log10(2),
      },
      {
        when: 'gain in dB is added',
        given: [
          ['cameras', 'A', { gainConvention: 'gain' }],
          ...reference({ iso: null, gainDb: 0 }),
          ...second({ iso: null, gainDb: 6 }),
        ],
        scope: '1b.A',
        message: 'Setup 1B, camera A, comes out 1.0 stop brighter than 1A.',
        // 6 dB / (20 log10 2) = 0.9966
        measured: 6 / (20 * Math.log10(2)),
      },
    ],
    silent: [
      { when: 'everything is the same', given: [] },
      {
        when: 'a stop opened is a filter of a stop put on',
        given: second({ aperture: 2.8, ndDensity: 0.9 }),
      },
      {
        when: 'the light doubled and the aperture closed a stop',
        given: second({ keyLux: 2000, aperture: 5.6 }),
      },
      {
        when: 'the setups do not cut together',
        given: [['setups', '1b', { matchGroup: 'yard' }], ...second({ aperture: 2.8 })],
      },
      {
        when: 'the setup is dropped',
        given: [['setups', '1b', { state: 'dropped' }], ...second({ aperture: 2.8 })],
      },
      {
        when: 'the camera is out of use',
        given: [['cameras', 'A', { retired: true }], ...second({ aperture: 2.8 })],
      },
      {
        when: 'the reference was shot with another camera alone',
        given: [
          ['cameras', 'B', { name: 'B camera' }],
          ['picture', '1b.B', { ...STANDARD_PICTURE, aperture: 2.8 }],
        ],
      },
      {
        when: 'neither has a filter entered',
        given: [...reference({ ndDensity: null }), ...second({ ndDensity: null })],
      },
    ],
    tolerance: {
      // 2^0.3 = 1.231144413: an offset of 0.3 stop, which is allowed
      at: { when: '0.3 stop', given: second({ keyLux: 1000 * 2 ** 0.3 }) },
      beyond: { when: '0.31 stop', given: second({ keyLux: 1000 * 2 ** 0.31 }) },
    },
    missing: [
      {
        when: 'the light was not metered',
        given: second({ aperture: 2.8, keyLux: null }),
        missing: ['picture/1b.A/keyLux'],
      },
      {
        when: 'aperture and sensitivity of the reference are not entered',
        given: [...reference({ aperture: null, iso: null }), ...second({ aperture: 2.8 })],
        missing: ['picture/1a.A/aperture', 'picture/1a.A/iso'],
      },
      {
        when: 'nothing of the setup is entered',
        given: second(Object.fromEntries(Object.keys(STANDARD_PICTURE).map((field) => [field, null]))),
        missing: ['aperture', 'shutter', 'iso', 'keyLux', 'ndDensity'].map(
          (field) => `picture/1b.A/${field}`,
        ),
      },
      {
        when: 'the reference has a filter and nobody said whether the setup has',
        given: second({ ndDensity: null }),
        missing: ['picture/1b.A/ndDensity'],
      },
      {
        when: 'the shutter is an angle and no rate is known',
        given: [['shoot', 'shoot', { frameRate: null }], ...second({ frameRate: null })],
        missing: ['picture/1b.A/frameRate'],
      },
      {
        when: 'the gain is over a base that nobody entered',
        given: [
          ['cameras', 'A', { gainConvention: 'gain', baseIso: null }],
          ...second({ iso: null, gainDb: 6 }),
        ],
        missing: ['cameras/A/baseIso'],
      },
      {
        when: 'the time cannot be, being longer than its frame',
        given: second({ shutter: { seconds: 1 / 20 } }),
        missing: ['picture/1b.A/shutter'],
      },
    ],
    planned: null,
    other: second({ keyLux: 1100 }),
  },

  'depth-aperture': {
    fires: [
      {
        when: 'a stop opened is made up for with a filter',
        given: second({ aperture: 2.8, ndDensity: 0.9 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, is opened wider than 1A by 1.0 stop: f/2.8 against f/4.',
        measured: -1,
      },
      {
        when: 'two stops closed under four times the light',
        given: second({ aperture: 8, keyLux: 4000 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, is closed further than 1A by 2.0 stops: f/8 against f/4.',
        measured: 2,
      },
      {
        when: 'the exposure is not known yet',
        given: second({ aperture: 2.8, keyLux: null }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, is opened wider than 1A by 1.0 stop: f/2.8 against f/4.',
        measured: -1,
      },
    ],
    silent: [
      { when: 'the apertures are the same', given: [] },
      { when: 'the exposures are known to disagree: that is the finding', given: second({ aperture: 2.8 }) },
      { when: 'a third of a stop', given: second({ aperture: 4.5 }) },
    ],
    tolerance: {
      at: {
        // f/4.8 is half a stop from f/4 on the half-stop scale: 2 log2(2^(4.5/2) / 2^(4/2)) = 0.5
        when: 'half a stop',
        given: second({ aperture: 4.8, keyLux: 1000 * Math.SQRT2 }),
      },
      beyond: { when: 'two thirds of a stop', given: second({ aperture: 5, keyLux: 1000 * 2 ** (2 / 3) }) },
    },
    missing: [
      {
        when: 'an aperture is not entered',
        given: second({ aperture: null }),
        missing: ['picture/1b.A/aperture'],
      },
      {
        when: 'the reference’s is not',
        given: reference({ aperture: null }),
        missing: ['picture/1a.A/aperture'],
      },
    ],
    planned: null,
    other: second({ aperture: 2.5, ndDensity: 1 }),
  },

  'motion-over-frame': {
    fires: [
      {
        when: '1/20 s at 25 frames/s',
        given: second({ shutter: { seconds: 1 / 20 } }),
        scope: '1b.A',
        message: 'Setup 1B, camera A: 1/20 s is longer than a frame at 25 frames/s, 1/25 s.',
        measured: 0.05,
      },
      {
        when: '1/50 s at a high speed of 100 frames/s',
        given: second({ shutter: { seconds: 1 / 50 }, frameRate: '100', plannedSpeed: 'high' }),
        scope: '1b.A',
        message: 'Setup 1B, camera A: 1/50 s is longer than a frame at 100 frames/s, 1/100 s.',
        measured: 0.02,
      },
      {
        when: 'no rate is entered and the shoot’s is faster',
        given: second({ shutter: { seconds: 1 / 20 }, frameRate: null }),
        scope: '1b.A',
        message: 'Setup 1B, camera A: 1/20 s is longer than a frame at 25 frames/s, 1/25 s.',
        measured: 0.05,
      },
    ],
    silent: [
      { when: '1/50 s at 25 frames/s', given: second({ shutter: { seconds: 1 / 50 } }) },
      { when: 'an angle, which cannot be longer', given: second({ shutter: { angleDeg: 360 } }) },
    ],
    tolerance: {
      at: { when: 'exactly the frame', given: second({ shutter: { seconds: 1 / 25 } }) },
      beyond: { when: 'a hundredth longer', given: second({ shutter: { seconds: 1.01 / 25 } }) },
    },
    missing: [
      { when: 'no shutter is entered', given: second({ shutter: null }), missing: ['picture/1b.A/shutter'] },
      {
        when: 'no rate is known',
        given: [
          ['shoot', 'shoot', { frameRate: null }],
          ...second({ shutter: { seconds: 1 / 20 }, frameRate: null }),
        ],
        missing: ['picture/1b.A/frameRate'],
      },
    ],
    planned: null,
    other: second({ shutter: { seconds: 1 / 15 } }),
  },

  'motion-angle': {
    fires: [
      {
        when: '1/25 s at 25 frames/s against 180°',
        given: second({ shutter: { seconds: 1 / 25 }, ndDensity: 0.9 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, blurs movement twice as much as 1A: 1/25 s (360°) against 180°.',
        measured: 180,
      },
      {
        when: 'a quarter of the blur',
        given: second({ shutter: { angleDeg: 45 }, ndDensity: 0 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, blurs movement 0.25 times as much as 1A: 45° against 180°.',
        measured: -135,
      },
      {
        when: '1/200 s at 25 frames/s',
        given: second({ shutter: { seconds: 1 / 200 }, frameRate: '25', ndDensity: 0 }),
        scope: '1b.A',
        // 360 · 25 / 200 = 45°
        message: 'Setup 1B, camera A, blurs movement 0.25 times as much as 1A: 1/200 s (45°) against 180°.',
        measured: -135,
      },
    ],
    silent: [
      { when: '1/50 s is 180° at 25 frames/s', given: second({ shutter: { seconds: 1 / 50 } }) },
      {
        when: 'a time longer than the frame, which is a finding of its own',
        given: second({ shutter: { seconds: 1 / 20 } }),
      },
    ],
    tolerance: {
      at: { when: '5°', given: second({ shutter: { angleDeg: 185 } }) },
      beyond: { when: '5.5°', given: second({ shutter: { angleDeg: 185.5 } }) },
    },
    missing: [
      { when: 'no shutter is entered', given: second({ shutter: null }), missing: ['picture/1b.A/shutter'] },
      {
        when: 'a time and no rate',
        given: [
          ['shoot', 'shoot', { frameRate: null }],
          ...second({ shutter: { seconds: 1 / 50 }, frameRate: null }),
        ],
        missing: ['picture/1b.A/frameRate'],
      },
    ],
    planned: {
      when: 'a high speed with the same angle',
      given: second({ frameRate: '100', plannedSpeed: 'high', ndDensity: 0 }),
    },
    other: second({ shutter: { seconds: 1 / 30 } }),
  },

  'motion-rate': {
    fires: [
      {
        when: '50 frames/s on a shoot at 25',
        given: second({ frameRate: '50' }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, runs at 50 frames/s, the shoot at 25 frames/s.',
        measured: 50,
      },
      {
        when: '24 on a shoot at 23.976',
        given: [
          ['shoot', 'shoot', { frameRate: '23.976' }],
          ...reference({ frameRate: null }),
          ...second({ frameRate: '24' }),
        ],
        scope: '1b.A',
        message:
          'Setup 1B, camera A, runs at 24 frames/s, the shoot at 23.976 frames/s: one frame in a thousand apart.',
        measured: 24,
      },
      {
        when: 'planned as high speed and left at the shoot’s rate',
        given: second({ plannedSpeed: 'high' }),
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is planned as high speed and runs at 25 frames/s for a shoot at 25 frames/s.',
        measured: 25,
      },
    ],
    silent: [
      { when: 'the same rate', given: [] },
      { when: 'the same rate written exactly', given: [['shoot', 'shoot', { frameRate: '25/1' }]] },
      { when: 'no rate is entered: it is taken for the shoot’s', given: second({ frameRate: null }) },
    ],
    tolerance: null,
    missing: [
      {
        when: 'the shoot has no rate',
        given: [['shoot', 'shoot', { frameRate: null }]],
        missing: ['shoot/shoot/frameRate'],
      },
    ],
    planned: {
      when: 'planned as high speed and faster',
      given: second({ frameRate: '50', plannedSpeed: 'high' }),
    },
    other: second({ frameRate: '100' }),
  },

  'colour-white-balance': {
    fires: [
      {
        when: '3200 K against 5600 K',
        given: second({ whiteBalanceK: 3200 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, is balanced 134 mired from 1A: 3200 K against 5600 K.',
        // 10⁶ / 3200 − 10⁶ / 5600 = 312.5 − 178.57 = 133.93
        measured: 1e6 / 3200 - 1e6 / 5600,
      },
    ],
    silent: [
      { when: 'the same', given: [] },
      // 10⁶ / 5900 = 169.49, 9 mired away
      { when: '300 K at daylight, which is 9 mired', given: second({ whiteBalanceK: 5900 }) },
    ],
    tolerance: {
      at: { when: '10 mired', given: second({ whiteBalanceK: 1e6 / (1e6 / 5600 + 10) }) },
      beyond: { when: '10.1 mired', given: second({ whiteBalanceK: 1e6 / (1e6 / 5600 + 10.1) }) },
    },
    missing: [
      {
        when: 'none is entered',
        given: second({ whiteBalanceK: null }),
        missing: ['picture/1b.A/whiteBalanceK'],
      },
      {
        when: 'the reference has none',
        given: reference({ whiteBalanceK: null }),
        missing: ['picture/1a.A/whiteBalanceK'],
      },
    ],
    planned: null,
    other: second({ whiteBalanceK: 3300 }),
  },

  'colour-cameras': {
    fires: [
      {
        when: 'two cameras on one setup are set apart',
        given: secondCamera({ whiteBalanceK: 3200 }),
        scope: '1a.A.B',
        message: 'Setup 1A: camera B is balanced 134 mired from camera A, 3200 K against 5600 K.',
        measured: 1e6 / 3200 - 1e6 / 5600,
      },
    ],
    silent: [
      { when: 'they are set alike', given: secondCamera({}) },
      { when: 'there is one camera', given: [] },
      {
        when: 'each is held against its reference: the difference stands there',
        given: [...secondCamera({}), ['picture', '1b.B', { ...STANDARD_PICTURE, whiteBalanceK: 3200 }]],
      },
    ],
    tolerance: {
      at: { when: '10 mired', given: secondCamera({ whiteBalanceK: 1e6 / (1e6 / 5600 + 10) }) },
      beyond: { when: '10.1 mired', given: secondCamera({ whiteBalanceK: 1e6 / (1e6 / 5600 + 10.1) }) },
    },
    missing: [
      {
        when: 'one is not entered',
        given: secondCamera({ whiteBalanceK: null }),
        missing: ['picture/1a.B/whiteBalanceK'],
      },
    ],
    planned: null,
    other: [['picture', '1a.B', { whiteBalanceK: 3300 }]],
  },

  'sound-rate-camera': {
    fires: [
      {
        when: 'the camera runs at 44.1 kHz on a shoot at 48',
        given: second({ sampleRateHz: 44_100 }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, records sound at 44.1 kHz, the shoot at 48 kHz.',
        measured: 44_100,
      },
      {
        when: 'the shoot says none and the recorder on the setup has another',
        given: [
          ['shoot', 'shoot', { sampleRateHz: null }],
          ['inputs', '1b.R1.1', { source: 'Boom' }],
          ...second({ sampleRateHz: 44_100 }),
        ],
        scope: '1b.A',
        message: 'Setup 1B, camera A, records sound at 44.1 kHz, the recorder at 48 kHz.',
        measured: 44_100,
      },
    ],
    silent: [{ when: 'the same rate', given: [] }],
    tolerance: null,
    missing: [
      {
        when: 'the camera’s is not entered',
        given: second({ sampleRateHz: null }),
        missing: ['picture/1b.A/sampleRateHz'],
      },
      {
        when: 'neither shoot nor recorder says one',
        given: [['shoot', 'shoot', { sampleRateHz: null }]],
        missing: ['shoot/shoot/sampleRateHz'],
      },
    ],
    planned: null,
    other: second({ sampleRateHz: 32_000 }),
  },
};
