import type { TruthTable } from './table.ts';

export const soundTables: Readonly<Record<string, TruthTable>> = {
  'sound-two-sources': {
    fires: [
      {
        when: 'a second source is entered on a channel',
        given: [['inputs', '1a.R1.1', { source: 'Boom', secondSource: 'Lapel' }]],
        scope: '1a.R1.1',
        message: 'Setup 1A: two sources on channel 1, Boom and Lapel; they cannot be told apart afterwards.',
        measured: 2,
      },
      {
        when: 'there are two recorders: it says which',
        given: [
          ['recorders', 'R2', { name: 'Bag', channels: 2 }],
          ['inputs', '1a.R1.1', { source: 'Boom' }],
          ['inputs', '1a.R2.1', { source: 'Boom', secondSource: 'Lapel', state: 'open' }],
        ],
        scope: '1a.R2.1',
        message:
          'Setup 1A: two sources on channel 1 of Bag, Boom and Lapel; they cannot be told apart afterwards.',
        measured: 2,
      },
    ],
    silent: [
      { when: 'one source each', given: [['inputs', '1a.R1.1', { source: 'Boom' }]] },
      {
        // common practice, no source
        when: 'external microphones on 1 and 2 and the built-in pair on 3 and 4',
        given: [
          ['inputs', '1a.R1.1', { source: 'Boom', connector: 'balanced' }],
          ['inputs', '1a.R1.2', { source: 'Lapel', connector: 'radio' }],
          ['inputs', '1a.R1.3', { source: 'Built-in left', connector: 'builtIn' }],
          ['inputs', '1a.R1.4', { source: 'Built-in right', connector: 'builtIn' }],
        ],
      },
      {
        when: 'the channel is closed',
        given: [['inputs', '1a.R1.1', { source: 'Boom', secondSource: 'Lapel', state: 'closed' }]],
      },
      {
        when: 'the recorder is out of use',
        given: [
          ['recorders', 'R1', { retired: true }],
          ['inputs', '1a.R1.1', { source: 'Boom', secondSource: 'Lapel' }],
        ],
      },
      {
        when: 'the second stands alone: it is the only one',
        given: [['inputs', '1a.R1.1', { secondSource: 'Lapel' }]],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['inputs', '1a.R1.1', { secondSource: 'Room' }]],
  },

  'sound-doubled-source': {
    fires: [
      {
        when: 'the same source is named on two channels',
        given: [
          ['inputs', '1a.R1.1', { source: 'Boom' }],
          ['inputs', '1a.R1.2', { source: ' boom' }],
        ],
        scope: '1a.R1.1.2',
        message: 'Setup 1A: Boom is on channel 1 and on channel 2, and neither is marked as the safety copy.',
        measured: 2,
      },
    ],
    silent: [
      {
        when: 'two sources',
        given: [
          ['inputs', '1a.R1.1', { source: 'Boom' }],
          ['inputs', '1a.R1.2', { source: 'Lapel' }],
        ],
      },
      {
        when: 'the same kind of microphone on two subjects',
        given: [
          ['inputs', '1a.R1.1', { source: 'Lapel', subject: 'Host' }],
          ['inputs', '1a.R1.2', { source: 'Lapel', subject: 'Guest' }],
        ],
      },
      {
        when: 'on two recorders, which is a backup',
        given: [
          ['recorders', 'R2', { name: 'Bag', channels: 2 }],
          ['inputs', '1a.R1.1', { source: 'Boom' }],
          ['inputs', '1a.R2.1', { source: 'Boom' }],
        ],
      },
      {
        when: 'one of them is closed',
        given: [
          ['inputs', '1a.R1.1', { source: 'Boom' }],
          ['inputs', '1a.R1.2', { source: 'Boom', state: 'closed' }],
        ],
      },
    ],
    tolerance: null,
    missing: [],
    planned: {
      when: 'two safety copies of one source',
      given: [
        ['inputs', '1a.R1.1', { source: 'Boom' }],
        ['inputs', '1a.R1.2', { source: 'Boom', safetyOf: 1 }],
        ['inputs', '1a.R1.3', { source: 'Boom', safetyOf: 1 }],
      ],
    },
    other: [['inputs', '1a.R1.2', { source: 'BOOM' }]],
  },

  'sound-flagged-open': {
    fires: [
      {
        when: 'a channel is flagged before anybody rolls',
        given: [['inputs', '1a.R1.2', { source: 'Lapel', state: 'flagged', fault: 'crackles' }]],
        scope: '1a.R1.2',
        message: 'Setup 1A: channel 2 (Lapel) is flagged: crackles; mend or close it before rolling.',
        measured: 1,
      },
      {
        when: 'a take rolls',
        given: [
          ['inputs', '1a.R1.2', { source: 'Lapel', state: 'flagged' }],
          ['takes', '1a.9', { rolledAt: 1, cutAt: 2 }],
          ['takes', '1a.10', { rolledAt: 3 }],
        ],
        scope: '1a.R1.2',
        message: 'Setup 1A: channel 2 (Lapel) is flagged; take 10 is rolling.',
        measured: 1,
      },
      {
        when: 'a fault is noted and the channel left open',
        given: [['inputs', '1a.R1.2', { source: 'Lapel', state: 'open', fault: 'hum' }]],
        scope: '1a.R1.2',
        message: 'Setup 1A: channel 2 (Lapel) is flagged: hum; mend or close it before rolling.',
        measured: 1,
      },
      {
        when: 'somebody raised a flag about it',
        given: [
          ['inputs', '1a.R1.2', { source: 'Lapel' }],
          [
            'flags',
            'f1',
            { about: 'inputs/1a.R1.2', what: 'rustles', severity: 'mend', department: 'sound' },
          ],
        ],
        scope: '1a.R1.2',
        message: 'Setup 1A: channel 2 (Lapel) is flagged: rustles; mend or close it before rolling.',
        measured: 1,
      },
      {
        when: 'a completed setup is rolled again',
        given: [
          ['setups', '1a', { state: 'complete' }],
          ['inputs', '1a.R1.2', { state: 'flagged' }],
          ['takes', '1a.1', { rolledAt: 1 }],
        ],
        scope: '1a.R1.2',
        message: 'Setup 1A: channel 2 is flagged; take 1 is rolling.',
        measured: 1,
      },
    ],
    silent: [
      { when: 'the channel is in order', given: [['inputs', '1a.R1.2', { source: 'Lapel', state: 'open' }]] },
      {
        when: 'it was closed',
        given: [['inputs', '1a.R1.2', { source: 'Lapel', state: 'closed', fault: 'crackles' }]],
      },
      {
        when: 'the flag was answered',
        given: [
          ['inputs', '1a.R1.2', { source: 'Lapel' }],
          ['flags', 'f1', { about: 'inputs/1a.R1.2', what: 'rustles', severity: 'mend', answer: 'moved' }],
        ],
      },
      {
        when: 'the flag is for the record',
        given: [
          ['inputs', '1a.R1.2', { source: 'Lapel' }],
          ['flags', 'f1', { about: 'inputs/1a.R1.2', what: 'a car at the end', severity: 'note' }],
        ],
      },
      {
        when: 'the setup is complete and nothing rolls',
        given: [
          ['setups', '1a', { state: 'complete' }],
          ['inputs', '1a.R1.2', { source: 'Lapel', state: 'flagged' }],
        ],
      },
    ],
    tolerance: null,
    missing: [],
    planned: null,
    other: [['inputs', '1a.R1.2', { fault: 'drops out' }]],
  },

  'sound-rate-recorder': {
    fires: [
      {
        when: 'the recorder was left at 96 kHz',
        given: [['recorders', 'R1', { sampleRateHz: 96_000 }]],
        scope: 'R1',
        message: 'Recorder Mixer records at 96 kHz, the shoot delivers 48 kHz.',
        measured: 96_000,
      },
    ],
    silent: [
      { when: 'the same rate', given: [] },
      {
        when: 'the recorder is out of use',
        given: [['recorders', 'R1', { sampleRateHz: 96_000, retired: true }]],
      },
    ],
    tolerance: null,
    missing: [
      {
        when: 'neither is entered',
        given: [
          ['recorders', 'R1', { sampleRateHz: null }],
          ['shoot', 'shoot', { sampleRateHz: null }],
        ],
        missing: ['recorders/R1/sampleRateHz', 'shoot/shoot/sampleRateHz'],
      },
    ],
    planned: null,
    other: [['recorders', 'R1', { sampleRateHz: 44_100 }]],
  },
};
