import { reference, second, secondCamera } from './given.ts';
import type { Given, TruthTable } from './table.ts';

const HD = {
  raster: '1920x1080',
  scan: 'progressive',
  codec: 'intra-frame',
  bitDepth: 10,
  chroma: '422',
  transfer: 'bt709',
} as const;

const NTSC: Given = [['shoot', 'shoot', { frameRate: '29.97', dropFrame: true }]];

export const formatTables: Readonly<Record<string, TruthTable>> = {
  'format-match': {
    fires: [
      {
        when: 'raster and curve were left from another job: one finding for both',
        given: [...reference(HD), ...second({ ...HD, raster: '3840x2160', transfer: 'log' })],
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is recorded in another format than 1A: raster 3840x2160 against 1920x1080 and transfer curve Camera log against BT.709.',
        measured: 2,
      },
      {
        when: 'fields against whole frames',
        given: [...reference(HD), ...second({ ...HD, scan: 'interlaced' })],
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is recorded in another format than 1A: scan Interlaced against Progressive.',
        measured: 1,
      },
    ],
    silent: [
      { when: 'all the same', given: [...reference(HD), ...second(HD)] },
      { when: 'nobody notes the format', given: [] },
      {
        when: 'the bit rate differs, which cuts together',
        given: [...reference({ ...HD, bitRateMbps: 120 }), ...second({ ...HD, bitRateMbps: 240 })],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'one of them has no curve entered',
        given: [...reference(HD), ...second({ ...HD, transfer: null })],
        missing: ['picture/1b.A/transfer'],
      },
    ],
    planned: null,
    other: second({ raster: '4096x2160' }),
  },

  'format-cameras': {
    fires: [
      {
        when: 'the second camera codes with fewer bits',
        given: [...reference(HD), ...secondCamera({ ...HD, bitDepth: 8, chroma: '420' })],
        scope: '1a.A.B',
        message:
          'Setup 1A: camera B records in another format than camera A: bit depth 8 bit against 10 bit and chroma sampling 4:2:0 against 4:2:2.',
        measured: 2,
      },
    ],
    silent: [
      { when: 'both the same', given: [...reference(HD), ...secondCamera(HD)] },
      { when: 'there is one camera', given: reference(HD) },
      {
        when: 'each is held against its reference: the difference stands there',
        given: [
          ...reference(HD),
          ...second(HD),
          ...secondCamera(HD),
          ['picture', '1b.B', { ...HD, keyLux: 1000, bitDepth: 8 }],
        ],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'one has no codec entered',
        given: [...reference(HD), ...secondCamera({ ...HD, codec: null })],
        missing: ['picture/1a.B/codec'],
      },
    ],
    planned: null,
    other: [['picture', '1a.B', { bitDepth: 9 }]],
  },

  'timecode-camera': {
    fires: [
      {
        when: 'the camera counts 24 on a shoot at 25',
        given: second({ timecodeRate: '24' }),
        scope: '1b.A',
        message: 'Setup 1B, camera A, counts timecode at 24, the shoot at 25.',
        measured: 24,
      },
      {
        when: 'non-drop on a drop-frame shoot',
        given: [...NTSC, ...second({ timecodeRate: '29.97', dropFrame: false })],
        scope: '1b.A',
        message: 'Setup 1B, camera A, counts timecode at 29.97 non-drop, the shoot at 29.97 drop-frame.',
        measured: 30_000 / 1001,
      },
    ],
    silent: [
      { when: 'the same count', given: second({ timecodeRate: '25' }) },
      {
        when: 'a shot at high speed that counts as the programme does',
        given: second({ timecodeRate: '25', frameRate: '100', plannedSpeed: 'high' }),
      },
      {
        when: 'drop-frame on both',
        given: [...NTSC, ...second({ timecodeRate: '30000/1001', dropFrame: true })],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'it is not entered',
        given: reference({ timecodeRate: '25' }),
        missing: ['picture/1b.A/timecodeRate'],
      },
      {
        when: 'the shoot says drop-frame and the camera nothing',
        given: [
          ...NTSC,
          ...reference({ timecodeRate: '29.97', dropFrame: true }),
          ...second({ timecodeRate: '29.97' }),
        ],
        missing: ['picture/1b.A/dropFrame'],
      },
    ],
    planned: null,
    other: second({ timecodeRate: '30' }),
  },

  'timecode-recorder': {
    fires: [
      {
        when: 'the recorder counts 24 on a shoot at 23.976',
        given: [
          ['shoot', 'shoot', { frameRate: '23.976' }],
          ['recorders', 'R1', { timecodeRate: '24' }],
        ],
        scope: 'R1',
        message:
          'Recorder Mixer counts timecode at 24, the shoot at 23.976: they part by a frame in a thousand.',
        measured: 24,
      },
    ],
    silent: [
      { when: 'the same count', given: [['recorders', 'R1', { timecodeRate: '25' }]] },
      {
        when: 'the recorder is out of use',
        given: [['recorders', 'R1', { timecodeRate: '30', retired: true }]],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'neither is entered',
        given: [['shoot', 'shoot', { frameRate: null }]],
        missing: ['recorders/R1/timecodeRate', 'shoot/shoot/frameRate'],
      },
      {
        when: 'the shoot does not say whether it drops',
        given: [
          ['shoot', 'shoot', { frameRate: '59.94' }],
          ['recorders', 'R1', { timecodeRate: '59.94', dropFrame: false }],
        ],
        missing: ['shoot/shoot/dropFrame'],
      },
    ],
    planned: null,
    other: [['recorders', 'R1', { timecodeRate: '30' }]],
  },

  'timecode-drop-camera': {
    fires: [
      {
        when: 'drop-frame at 25',
        given: second({ timecodeRate: '25', dropFrame: true }),
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is set to drop-frame at 25 frames/s, which there is not: only 29.97 and its multiples have it.',
        measured: 25,
      },
    ],
    silent: [
      { when: 'at 29.97', given: [...NTSC, ...second({ timecodeRate: '29.97', dropFrame: true })] },
      { when: 'every label is counted', given: second({ timecodeRate: '25', dropFrame: false }) },
    ],
    tolerance: null,
    missing: [
      {
        when: 'the rate is not entered',
        given: second({ dropFrame: true }),
        missing: ['picture/1b.A/timecodeRate'],
      },
    ],
    planned: null,
    other: second({ timecodeRate: '24' }),
  },

  'timecode-drop-recorder': {
    fires: [
      {
        when: 'drop-frame at 23.976',
        given: [['recorders', 'R1', { timecodeRate: '23.976', dropFrame: true }]],
        scope: 'R1',
        message:
          'Recorder Mixer is set to drop-frame at 23.976 frames/s, which there is not: only 29.97 and its multiples have it.',
        measured: 24_000 / 1001,
      },
    ],
    silent: [
      { when: 'at 59.94', given: [['recorders', 'R1', { timecodeRate: '59.94', dropFrame: true }]] },
      { when: 'off', given: [['recorders', 'R1', { timecodeRate: '25', dropFrame: false }]] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['recorders', 'R1', { timecodeRate: '24' }]],
  },

  'timecode-drop-shoot': {
    fires: [
      {
        when: 'drop-frame at 30, which is not 29.97',
        given: [['shoot', 'shoot', { frameRate: '30', dropFrame: true }]],
        scope: 'shoot',
        message:
          'The shoot is set to drop-frame at 30 frames/s, which there is not: only 29.97 and its multiples have it.',
        measured: 30,
      },
    ],
    silent: [
      { when: 'at 29.97', given: NTSC },
      { when: 'off', given: [['shoot', 'shoot', { dropFrame: false }]] },
    ],
    tolerance: null,
    missing: [
      {
        when: 'the rate is not entered',
        given: [['shoot', 'shoot', { frameRate: null, dropFrame: true }]],
        missing: ['shoot/shoot/frameRate'],
      },
    ],
    planned: null,
    other: [['shoot', 'shoot', { frameRate: '24' }]],
  },

  'colour-lights': {
    fires: [
      {
        when: 'the reference is balanced for daylight under filament lamps',
        given: [
          ['setups', '1a', { lightsK: 3200 }],
          ['setups', '1b', { lightsK: 3200 }],
        ],
        scope: '1a.A',
        message:
          'Setup 1A, camera A, is balanced for 5600 K under lights of 3200 K: white turns warmer by 134 mired.',
        // 10⁶ / 5600 − 10⁶ / 3200 = 178.57 − 312.5
        measured: 1e6 / 5600 - 1e6 / 3200,
      },
      {
        when: 'the balance agrees with the reference, and its lights are others',
        given: [
          ['setups', '1a', { lightsK: 5600 }],
          ['setups', '1b', { lightsK: 3200 }],
        ],
        scope: '1b.A',
        message:
          'Setup 1B, camera A, is balanced for 5600 K under lights of 3200 K: white turns warmer by 134 mired.',
        measured: 1e6 / 5600 - 1e6 / 3200,
      },
    ],
    silent: [
      {
        when: 'balanced for them',
        given: [
          ['setups', '1a', { lightsK: 5600 }],
          ['setups', '1b', { lightsK: 5600 }],
        ],
      },
      {
        when: 'it differs from the reference, which is told there',
        given: [
          ['setups', '1a', { lightsK: 5600 }],
          ['setups', '1b', { lightsK: 5600 }],
          ...second({ whiteBalanceK: 3200 }),
        ],
      },
      {
        when: 'it differs from the first camera, which is told there',
        given: [
          ['setups', '1a', { lightsK: 5600 }],
          ['setups', '1b', { lightsK: 5600 }],
          ...secondCamera({ whiteBalanceK: 3200 }),
        ],
      },
    ],
    tolerance: {
      at: {
        when: '30 mired',
        given: [
          ['setups', '1a', { lightsK: 1e6 / (1e6 / 5600 - 30) }],
          ['setups', '1b', { lightsK: 5600 }],
        ],
      },
      beyond: {
        when: '31 mired',
        given: [
          ['setups', '1a', { lightsK: 1e6 / (1e6 / 5600 - 31) }],
          ['setups', '1b', { lightsK: 5600 }],
        ],
      },
    },
    missing: [
      {
        when: 'nobody entered the colour of the lights',
        given: [['setups', '1a', { lightsK: 5600 }]],
        missing: ['setups/1b/lightsK'],
      },
      {
        when: 'no white balance is entered',
        given: [
          ['setups', '1a', { lightsK: 5600 }],
          ['setups', '1b', { lightsK: 5600 }],
          ...second({ whiteBalanceK: null }),
        ],
        missing: ['picture/1b.A/whiteBalanceK'],
      },
    ],
    planned: {
      when: 'a look that the whole group has is told at its reference alone',
      given: [
        ['setups', '1a', { lightsK: 6500 }],
        ['setups', '1b', { lightsK: 6500 }],
      ],
    },
    other: [['setups', '1a', { lightsK: 3000 }]],
  },

  'sound-depth-recorder': {
    fires: [
      {
        when: 'the recorder was left at 16 bit',
        given: [
          ['shoot', 'shoot', { soundBitDepth: 24 }],
          ['recorders', 'R1', { bitDepth: 16 }],
        ],
        scope: 'R1',
        message: 'Recorder Mixer records 16 bit, the shoot delivers 24 bit.',
        measured: 16,
      },
    ],
    silent: [
      {
        when: 'the same depth',
        given: [
          ['shoot', 'shoot', { soundBitDepth: 24 }],
          ['recorders', 'R1', { bitDepth: 24 }],
        ],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'neither is entered',
        given: [],
        missing: ['recorders/R1/bitDepth', 'shoot/shoot/soundBitDepth'],
      },
    ],
    planned: null,
    other: [['recorders', 'R1', { bitDepth: 32 }]],
  },
};
