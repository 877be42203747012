import { at } from './given.ts';
import type { Given, TruthTable } from './table.ts';

const AT_THE_MILL: Given = [
  ['places', 'mill', { name: 'Mill' }],
  ['setups', '1a', { place: 'mill' }],
  ['setups', '1b', { place: 'mill' }],
];
const WORKING: Given = [...AT_THE_MILL, ['setups', '1a', { state: 'inWork' }]];

const CAMERA_BODY: Given = [
  [
    'kit',
    'camera.body',
    { name: 'Camera body', minTemperatureC: 0, maxTemperatureC: 40, maxHumidityPercent: 85 },
  ],
];
const TAKE_MINUTES: Given = [['setups', '1a', { state: 'inWork', takeMinutes: 20 }]];
const CARD: Given = [
  ...TAKE_MINUTES,
  ['cards', 'c1', { name: 'A-01', capacityGB: 16 }],
  ['cards', 'c2', { name: 'A-02', capacityGB: 256, state: 'blank' }],
  ['cameras', 'A', { card: 'c1' }],
  ['picture', '1a.A', { bitRateMbps: 120 }],
];
const BATTERY: Given = [
  ...TAKE_MINUTES,
  ['batteries', 'v1', { name: 'V1', energyWh: 98, chargePercent: 5 }],
  ['batteries', 'v2', { name: 'V2', energyWh: 98, chargePercent: 100 }],
  ['cameras', 'A', { battery: 'v1', powerDrawW: 20 }],
];

const WIPED: Given = [
  ['cards', 'c1', { name: 'A-01', preparedAt: [at(0), at(90)] }],
  ['takes', '1a.1', { rolledAt: at(10), cutAt: at(12), cards: ['c1'] }],
];

export const thingTables: Readonly<Record<string, TruthTable>> = {
  'sound-room-tone': {
    fires: [
      {
        when: 'a setup with sound is complete',
        given: [
          ...AT_THE_MILL,
          ['setups', '1a', { state: 'complete' }],
          ['inputs', '1a.R1.1', { source: 'Boom' }],
        ],
        scope: 'mill',
        message: 'Mill: 1A is complete, and no room tone is recorded.',
        measured: 0,
      },
    ],
    silent: [
      {
        when: 'nothing is complete there',
        given: [...AT_THE_MILL, ['inputs', '1a.R1.1', { source: 'Boom' }]],
      },
      {
        when: 'it is recorded',
        given: [
          ...AT_THE_MILL,
          ['places', 'mill', { roomToneAt: at(5) }],
          ['setups', '1a', { state: 'complete' }],
          ['inputs', '1a.R1.1', { source: 'Boom' }],
        ],
      },
      { when: 'it was shot without sound', given: [...AT_THE_MILL, ['setups', '1a', { state: 'complete' }]] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: null,
  },

  'kit-climate': {
    fires: [
      {
        // common practice, no source: bodies are built for 0 to 40 °C
        when: '44 °C against limits of 0 to 40 °C',
        given: [...WORKING, ...CAMERA_BODY, ['places', 'mill', { temperatureC: 44 }]],
        scope: 'mill.camera',
        message: 'Mill is at 44 °C, beyond what is there: Camera body up to 40 °C.',
        measured: 1,
      },
      {
        when: 'a setup that is planned in a damp cellar needs it',
        given: [
          ...AT_THE_MILL,
          ...CAMERA_BODY,
          ['kit', 'camera.body', { neededBy: '1b' }],
          ['places', 'mill', { humidityPercent: 95 }],
        ],
        scope: 'mill.camera',
        message: 'Mill is at 95 %, beyond what is there: Camera body up to 85 % humidity.',
        measured: 1,
      },
      {
        when: 'two setups there need it: it is named once',
        given: [
          ...AT_THE_MILL,
          ...CAMERA_BODY,
          ['kit', 'camera.body', { neededBy: ['1a', '1b'] }],
          ['places', 'mill', { humidityPercent: 95 }],
        ],
        scope: 'mill.camera',
        message: 'Mill is at 95 %, beyond what is there: Camera body up to 85 % humidity.',
        measured: 1,
      },
    ],
    silent: [
      { when: 'within them', given: [...WORKING, ...CAMERA_BODY, ['places', 'mill', { temperatureC: 25 }]] },
      {
        when: 'nobody works there yet',
        given: [...AT_THE_MILL, ...CAMERA_BODY, ['places', 'mill', { temperatureC: 44 }]],
      },
      {
        when: 'it was given back to its owner',
        given: [
          ...WORKING,
          ...CAMERA_BODY,
          ['places', 'mill', { temperatureC: 44 }],
          [
            'custody',
            'body.1',
            { event: { item: 'camera.body', what: 'return', toOwner: true, signedBy: 'p1', at: at(1) } },
          ],
        ],
      },
    ],
    tolerance: {
      at: { when: '40 °C', given: [...WORKING, ...CAMERA_BODY, ['places', 'mill', { temperatureC: 40 }]] },
      beyond: {
        when: '41 °C',
        given: [...WORKING, ...CAMERA_BODY, ['places', 'mill', { temperatureC: 41 }]],
      },
    },
    missing: [
      {
        when: 'nothing was measured where it works',
        given: [...WORKING, ...CAMERA_BODY],
        missing: ['places/mill/temperatureC'],
      },
    ],
    planned: null,
    other: [['places', 'mill', { temperatureC: 46 }]],
  },

  'media-card-short': {
    fires: [
      {
        // 16 · 10⁹ · 8 / 120 · 10⁶ = 1066.7 s = 17.8 min
        when: 'an empty card of 16 GB at 120 Mbit/s for a take of 20 min',
        given: CARD,
        scope: '1a.A',
        message: 'Setup 1A, camera A: card A-01 holds 17 min more at 120 Mbit/s, a take may run 20 min.',
        measured: (16e9 * 8) / 120e6 / 60,
      },
      {
        // 32 GB are 35.56 min; 20 min are on it
        when: 'a card with a take of 20 min on it',
        given: [
          ...CARD,
          ['cards', 'c1', { capacityGB: 32 }],
          ['takes', '1b.1', { rolledAt: at(0), cutAt: at(20), cards: ['c1'] }],
        ],
        scope: '1a.A',
        message: 'Setup 1A, camera A: card A-01 holds 15 min more at 120 Mbit/s, a take may run 20 min.',
        measured: (32e9 * 8) / 120e6 / 60 - 20,
      },
      {
        when: 'the card in the second slot is the shorter one',
        given: [
          ...CARD,
          ['cards', 'c1', { capacityGB: 256 }],
          ['cards', 'c2', { capacityGB: 16 }],
          ['cards', 'c3', { name: 'A-03', capacityGB: 256, state: 'blank' }],
          ['cameras', 'A', { cardB: 'c2' }],
        ],
        scope: '1a.A',
        message: 'Setup 1A, camera A: card A-02 holds 17 min more at 120 Mbit/s, a take may run 20 min.',
        measured: (16e9 * 8) / 120e6 / 60,
      },
    ],
    silent: [
      { when: 'the card is long enough', given: [...CARD, ['cards', 'c1', { capacityGB: 64 }]] },
      { when: 'the setup is not in work', given: [...CARD, ['setups', '1a', { state: 'planned' }]] },
      {
        when: 'nobody planned how long a take is',
        given: [...CARD, ['setups', '1a', { takeMinutes: null }]],
      },
    ],
    tolerance: {
      at: { when: '18 GB, which is just 20 min', given: [...CARD, ['cards', 'c1', { capacityGB: 18 }]] },
      beyond: { when: '17.9 GB', given: [...CARD, ['cards', 'c1', { capacityGB: 17.9 }]] },
    },
    missing: [
      {
        when: 'no card is in',
        given: [...CARD, ['cameras', 'A', { card: null }]],
        missing: ['cameras/A/card'],
      },
      {
        when: 'neither its size nor the bit rate is known',
        given: [...CARD, ['cards', 'c1', { capacityGB: null }], ['picture', '1a.A', { bitRateMbps: null }]],
        missing: ['cards/c1/capacityGB', 'picture/1a.A/bitRateMbps'],
      },
    ],
    planned: null,
    other: [['picture', '1a.A', { bitRateMbps: 200 }]],
  },

  'power-battery-short': {
    fires: [
      {
        // 98 Wh · 5 % · 0.9 / 20 W = 0.2205 h = 13.2 min
        when: 'a battery at 5 % for a take of 20 min',
        given: BATTERY,
        scope: '1a.A',
        message: 'Setup 1A, camera A: battery V1 at 5 % lasts about 13 min, a take may run 20 min.',
        measured: ((98 * 0.05 * 0.9) / 20) * 60,
      },
    ],
    silent: [
      { when: 'it is full', given: [...BATTERY, ['batteries', 'v1', { chargePercent: 100 }]] },
      { when: 'the setup is not in work', given: [...BATTERY, ['setups', '1a', { state: 'planned' }]] },
    ],
    tolerance: {
      // 20 min at 20 W are 6.667 Wh, of which nine tenths count: 7.407 Wh
      at: {
        when: 'just 20 min',
        given: [...BATTERY, ['batteries', 'v1', { energyWh: 20 / 3 / 0.9, chargePercent: 100 }]],
      },
      beyond: {
        when: 'a little less',
        given: [...BATTERY, ['batteries', 'v1', { energyWh: 7.4, chargePercent: 100 }]],
      },
    },
    missing: [
      {
        when: 'charge and draw are not known',
        given: [
          ...BATTERY,
          ['batteries', 'v1', { chargePercent: null }],
          ['cameras', 'A', { powerDrawW: null }],
        ],
        missing: ['batteries/v1/chargePercent', 'cameras/A/powerDrawW'],
      },
      {
        when: 'none is on',
        given: [...BATTERY, ['cameras', 'A', { battery: null }]],
        missing: ['cameras/A/battery'],
      },
    ],
    planned: null,
    other: [['batteries', 'v1', { chargePercent: 6 }]],
  },

  'media-card-wiped': {
    fires: [
      {
        when: 'a card is prepared with a take on it that was never copied',
        given: WIPED,
        scope: 'c1',
        message:
          'Card A-01 was prepared with 1a take 1 on it and no verified copy. Record nothing more on it.',
        measured: 0,
      },
      {
        when: 'one verified copy where two are asked for',
        given: [
          ...WIPED,
          ['cards', 'c1', { copies: [{ where: 'disk 1', checked: 'checksum', at: at(20), by: 'p1' }] }],
        ],
        scope: 'c1',
        message:
          'Card A-01 was prepared with 1a take 1 on it and 1 verified copy. Record nothing more on it.',
        measured: 1,
      },
    ],
    silent: [
      {
        when: 'two copies in two places',
        given: [
          ...WIPED,
          [
            'cards',
            'c1',
            {
              copies: [
                { where: 'disk 1', checked: 'checksum', at: at(20), by: 'p1' },
                { where: 'disk 2', checked: 'checksum', at: at(30), by: 'p1' },
              ],
            },
          ],
        ],
      },
      { when: 'it was not prepared since', given: [...WIPED, ['cards', 'c1', { preparedAt: [at(0)] }]] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['cards', 'c1', { preparedAt: [at(0), at(91)] }]],
  },

  'camera-automatic': {
    fires: [
      {
        when: 'the aperture is left to the camera',
        given: [['picture', '1a.A', { autoFunctions: ['exposure'] }]],
        scope: '1a.A',
        message: 'Setup 1A, camera A: automatic exposure is on.',
        measured: 1,
      },
      {
        when: 'several are',
        given: [['picture', '1a.A', { autoFunctions: ['gain', 'white balance', 'focus'] }]],
        scope: '1a.A',
        message: 'Setup 1A, camera A: automatic gain, white balance and focus are on.',
        measured: 3,
      },
    ],
    silent: [{ when: 'somebody said none', given: [['picture', '1a.A', { autoFunctions: [] }]] }],
    tolerance: null,
    missing: [
      {
        when: 'nobody said',
        given: [['picture', '1b.A', { autoFunctions: [] }]],
        missing: ['picture/1a.A/autoFunctions'],
      },
    ],
    planned: null,
    other: [['picture', '1a.A', { autoFunctions: ['gain'] }]],
  },

  'checks-unticked': {
    fires: [
      {
        when: 'work has begun and two are open',
        given: [
          ['setups', '1a', { state: 'inWork' }],
          ['checks', '1a.sound.phones', { title: 'Listened on headphones' }],
          ['checks', '1a.sound.tone', { title: 'Tone on all channels' }],
        ],
        scope: '1a.sound',
        message:
          'Setup 1A: sound has not ticked Listened on headphones and Tone on all channels, before the first take.',
        measured: 2,
      },
      {
        when: 'it was rolled all the same',
        given: [
          ['takes', '1a.1', { rolledAt: at(1) }],
          ['checks', '1a.camera.legs', { title: 'Legs locked' }],
        ],
        scope: '1a.camera',
        message: 'Setup 1A: camera has not ticked Legs locked, and it was rolled.',
        measured: 1,
      },
    ],
    silent: [
      {
        when: 'it is ticked',
        given: [
          ['setups', '1a', { state: 'inWork' }],
          ['checks', '1a.camera.legs', { title: 'Legs locked', doneBy: 'p1', doneAt: at(1) }],
        ],
      },
      { when: 'nobody works on it yet', given: [['checks', '1a.camera.legs', { title: 'Legs locked' }]] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: null,
  },
};
