import { at } from './given.ts';
import type { Given, TruthTable } from './table.ts';

const PEOPLE: Given = [
  ['people', 'p1', { name: 'Ada' }],
  ['people', 'p2', { name: 'Bo' }],
];
const LEGS: Given = [...PEOPLE, ['kit', 'camera.legs', { name: 'Legs', neededBy: '1a' }]];
const HIRED: Given = [
  ...LEGS,
  ['kit', 'camera.legs', { ownership: 'hired', dueBack: '2027-05-14' }],
  ['setups', '1a', { day: '2027-05-15' }],
];
const BODY: Given = [
  ...PEOPLE,
  ['setups', '1a', { state: 'inWork' }],
  ['kit', 'camera.body', { name: 'Camera body', camera: 'A' }],
];

type Values = Readonly<Record<string, string | number | boolean | readonly string[]>>;

function signed(item: string, n: number, values: Values): Given[number] {
  return [
    'custody',
    `${item}.${n}`,
    { event: { item: `camera.${item}`, signedBy: 'p1', at: at(n), ...values } },
  ];
}

const event = (n: number, values: Values): Given[number] => signed('legs', n, values);
const ofBody = (n: number, values: Values): Given[number] => signed('body', n, values);

const FORKED: Given = [
  ...LEGS,
  event(1, { what: 'signOut', to: 'p1' }),
  event(2, { what: 'handOver', to: 'p2', after: 'legs.1' }),
  event(3, { what: 'takeOver', to: 'Cy', after: 'legs.1', signedBy: 'p2' }),
];

export const custodyTables: Readonly<Record<string, TruthTable>> = {
  'custody-nobody': {
    fires: [
      {
        when: 'signed out with no name',
        given: [...LEGS, event(1, { what: 'signOut' })],
        scope: 'camera.legs',
        message: 'Legs was signed out by Ada, and nobody is named who has it.',
        measured: 0,
      },
      {
        when: 'offered with no name',
        given: [
          ...LEGS,
          event(1, { what: 'signOut', to: 'p1' }),
          event(2, { what: 'handOver', after: 'legs.1' }),
        ],
        scope: 'camera.legs',
        message: 'Legs was offered by Ada, and nobody is named who is to have it.',
        measured: 0,
      },
    ],
    silent: [
      { when: 'signed out to somebody', given: [...LEGS, event(1, { what: 'signOut', to: 'p1' })] },
      {
        when: 'somebody took it over since',
        given: [...LEGS, event(1, { what: 'signOut' }), event(2, { what: 'takeOver', after: 'legs.1' })],
      },
      {
        when: 'it came back since',
        given: [...LEGS, event(1, { what: 'signOut' }), event(2, { what: 'return', after: 'legs.1' })],
      },
      { when: 'nothing ever happened to it', given: LEGS },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [event(1, { what: 'handOver' })],
  },

  'custody-fork': {
    fires: [
      {
        when: 'two events after the same sign-out',
        given: FORKED,
        scope: 'camera.legs',
        message: 'Legs has two stories: Ada offered it to Bo and Cy took it. Find it, and say which is true.',
        measured: 2,
      },
      {
        when: 'two first events',
        given: [
          ...LEGS,
          event(1, { what: 'signOut', to: 'p1' }),
          event(2, { what: 'signOut', to: 'p2', signedBy: 'p2' }),
        ],
        scope: 'camera.legs',
        message:
          'Legs has two stories: Ada signed it out and Bo signed it out. Find it, and say which is true.',
        measured: 2,
      },
      {
        when: 'one of two went on: the other is still open',
        given: [...FORKED, event(4, { what: 'setDown', attended: true, after: 'legs.3', signedBy: 'p2' })],
        scope: 'camera.legs',
        message:
          'Legs has two stories: Ada offered it to Bo and Bo set it down. Find it, and say which is true.',
        measured: 2,
      },
      {
        when: 'an event names one before it that nobody has',
        given: [...LEGS, event(2, { what: 'takeOver', to: 'p2', after: 'legs.9', signedBy: 'p2' })],
        scope: 'camera.legs',
        message: 'Legs: Bo took it, after something that is not on the board. Find it, and say where it is.',
        measured: 2,
      },
    ],
    silent: [
      {
        when: 'one after the other',
        given: [
          ...LEGS,
          event(1, { what: 'signOut', to: 'p1' }),
          event(2, { what: 'handOver', to: 'p2', after: 'legs.1' }),
        ],
      },
      {
        when: 'somebody said which is true, naming both',
        given: [
          ...FORKED,
          event(4, { what: 'settle', to: 'p2', after: 'legs.2', alsoAfter: ['legs.3'], signedBy: 'p2' }),
        ],
      },
      {
        when: 'somebody said where it is, after an event that names one nobody has',
        given: [
          ...LEGS,
          event(2, { what: 'takeOver', to: 'p2', after: 'legs.9', signedBy: 'p2' }),
          event(3, { what: 'settle', to: 'p2', after: 'legs.2', signedBy: 'p2' }),
        ],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [event(3, { what: 'takeOver', to: 'Di', after: 'legs.1' })],
  },

  'hire-due-early': {
    fires: [
      {
        when: 'a setup of the day after needs it',
        given: HIRED,
        scope: 'camera.legs',
        message: 'Legs is due back on 2027-05-14, and setup 1A needs it until 2027-05-15.',
        measured: 1,
      },
      {
        when: 'two later setups need it, the last counts',
        given: [
          ...HIRED,
          ['kit', 'camera.legs', { neededBy: ['1a', '1b'] }],
          ['setups', '1b', { day: '2027-05-17' }],
        ],
        scope: 'camera.legs',
        message: 'Legs is due back on 2027-05-14, and setups 1A and 1B need it until 2027-05-17.',
        measured: 3,
      },
    ],
    silent: [
      { when: 'the setup is complete', given: [...HIRED, ['setups', '1a', { state: 'complete' }]] },
      { when: 'it is our own', given: [...HIRED, ['kit', 'camera.legs', { ownership: 'own' }]] },
      { when: 'nobody said when it is due', given: [...HIRED, ['kit', 'camera.legs', { dueBack: null }]] },
      { when: 'no day is planned for the setup', given: [...HIRED, ['setups', '1a', { day: null }]] },
      {
        when: 'it is back with its owner, which another rule says',
        given: [...HIRED, event(1, { what: 'return', toOwner: true })],
      },
    ],
    tolerance: {
      at: {
        when: 'it is due on the very day',
        given: [...HIRED, ['kit', 'camera.legs', { dueBack: '2027-05-15' }]],
      },
      beyond: { when: 'it is due the day before', given: HIRED },
    },
    missing: [],
    planned: null,
    other: [...HIRED, ['setups', '1a', { day: '2027-05-16' }]],
  },

  'kit-needed': {
    fires: [
      {
        when: 'it is faulty',
        given: [...LEGS, ['kit', 'camera.legs', { condition: 'faulty' }]],
        scope: 'camera.legs',
        message: 'Setup 1A needs Legs, which is faulty.',
        measured: 0,
      },
      {
        when: 'somebody signed that it is damaged, and two setups need it',
        given: [
          ...LEGS,
          ['kit', 'camera.legs', { neededBy: ['1a', '1b'] }],
          event(1, { what: 'damage', remark: 'a clamp is cracked' }),
        ],
        scope: 'camera.legs',
        message: 'Setups 1A and 1B need Legs, which is faulty.',
        measured: 0,
      },
      {
        when: 'whoever has it has left the shoot',
        given: [
          ...LEGS,
          ['people', 'p1', { name: 'Ada', leftAt: at(60) }],
          event(1, { what: 'signOut', to: 'p1' }),
        ],
        scope: 'camera.legs',
        message: 'Setup 1A needs Legs, which is with Ada, who has left.',
        measured: 0,
      },
      {
        when: 'it was given back to the hirer',
        given: [...LEGS, event(1, { what: 'return', toOwner: true })],
        scope: 'camera.legs',
        message: 'Setup 1A needs Legs, which was given back.',
        measured: 0,
      },
      {
        when: 'it is lost',
        given: [
          ...LEGS,
          event(1, { what: 'signOut', to: 'p1' }),
          event(2, { what: 'loss', after: 'legs.1' }),
        ],
        scope: 'camera.legs',
        message: 'Setup 1A needs Legs, which is lost.',
        measured: 0,
      },
    ],
    silent: [
      { when: 'it is at hand', given: LEGS },
      {
        when: 'it is back in its case',
        given: [
          ...LEGS,
          event(1, { what: 'signOut', to: 'p1' }),
          event(2, { what: 'return', after: 'legs.1' }),
        ],
      },
      {
        when: 'it was mended',
        given: [
          ...LEGS,
          event(1, { what: 'damage', remark: 'a clamp is cracked' }),
          event(2, { what: 'repair', after: 'legs.1' }),
        ],
      },
      {
        when: 'the setup is complete',
        given: [
          ...LEGS,
          ['setups', '1a', { state: 'complete' }],
          ['kit', 'camera.legs', { condition: 'lost' }],
        ],
      },
      { when: 'no setup needs it', given: [['kit', 'camera.legs', { name: 'Legs', condition: 'lost' }]] },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['kit', 'camera.legs', { condition: 'lost' }]],
  },

  'custody-unattended': {
    fires: [
      {
        when: 'a camera on its legs with nobody beside it, while a take rolls',
        given: [
          ...LEGS,
          ['takes', '1a.1', { rolledAt: at(1) }],
          event(2, { what: 'setDown', attended: false }),
        ],
        scope: 'camera.legs',
        message: 'Legs was set down unattended by Ada.',
        measured: 0,
      },
    ],
    silent: [
      { when: 'somebody stays', given: [...LEGS, event(1, { what: 'setDown', attended: true })] },
      {
        when: 'it was picked up again',
        given: [
          ...LEGS,
          event(1, { what: 'setDown', attended: false }),
          event(2, { what: 'takeOver', to: 'p1', after: 'legs.1' }),
        ],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [event(2, { what: 'setDown', attended: false, remark: 'by the door' })],
  },

  'camera-alone': {
    fires: [
      {
        when: 'a setup is in work, and nobody signed for the body',
        given: BODY,
        scope: 'camera.body',
        message: 'Camera A shoots 1A, and nobody is with Camera body: it is signed out to nobody.',
        measured: 0,
      },
      {
        when: 'whoever had it has left',
        given: [...BODY, ofBody(1, { what: 'signOut', to: 'p2' }), ['people', 'p2', { leftAt: at(60) }]],
        scope: 'camera.body',
        message: 'Camera A shoots 1A, and nobody is with Camera body: Bo, who had it, has left.',
        measured: 0,
      },
    ],
    silent: [
      { when: 'somebody has it', given: [...BODY, ofBody(1, { what: 'signOut', to: 'p2' })] },
      {
        when: 'somebody stays beside it',
        given: [
          ...BODY,
          ofBody(1, { what: 'signOut', to: 'p2' }),
          ofBody(2, { what: 'setDown', attended: true, after: 'body.1', signedBy: 'p2' }),
        ],
      },
      { when: 'no setup is in work', given: [...BODY, ['setups', '1a', { state: 'planned' }]] },
      {
        when: 'another camera shoots the setup',
        given: [...BODY, ['cameras', 'B', { name: 'B camera' }], ['kit', 'camera.body', { camera: 'B' }]],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [
      ['kit', 'camera.body', { camera: 'B' }],
      ['cameras', 'B', { name: 'B camera' }],
      ['picture', '1a.B', { iso: 800 }],
    ],
  },
};
