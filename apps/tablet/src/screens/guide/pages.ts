import type { MarkName } from '../../parts/Mark.tsx';

export const GUIDE_ROLES = ['director', 'camera', 'sound', 'producer'] as const;

export type GuideRole = (typeof GUIDE_ROLES)[number];

export interface Part {
  readonly when: string;
  readonly lines: readonly string[];
}

/** What a role does, in the order of a day. */
export const PAGES: Readonly<Record<GuideRole, readonly Part[]>> = {
  director: [
    {
      when: 'First',
      lines: [
        'Day holds the setups in shooting order. On an empty board, take a plan in under Plan, or add scenes and setups one by one.',
        'On Unit, set what holds for the whole shoot: mains, frame rate, sound. A second tablet joins by the code there.',
        'Tell everybody the hazards of the place; they stand on Places.',
      ],
    },
    {
      when: 'At each setup',
      lines: [
        'Mark it in work. Everybody’s tablet follows.',
        'Match shows what will not cut together, and why. Ask the department for what would mend it, or accept it with a reason.',
        'Setups that cut together carry the same word as their match group; one of them is the reference.',
      ],
    },
    {
      when: 'At each take',
      lines: [
        'Ready says what stands against rolling. Rolling anyway asks for a reason, and the take keeps it.',
        'Roll and cut from any tablet; all of them show it, none makes a sound.',
        'Judge it: good, keep or no good. Write down why while you know it.',
      ],
    },
    {
      when: 'Between',
      lines: [
        'Progress says when the day will end and what could be dropped.',
        'Flags that are for you wait in the notices; answer them there.',
      ],
    },
    {
      when: 'At wrap',
      lines: [
        'Every take is judged and every flag answered. The routine under Kit has the rest.',
        'Papers has the day on paper, for whoever was not there.',
      ],
    },
  ],
  camera: [
    {
      when: 'First',
      lines: [
        'Kit: sign for what you take out of its case, and go through the checks before the day.',
        'Prepare cards and put them into the cameras; read the batteries.',
        'Lithium cells: none that is damaged or swollen goes on a camera or a charger.',
      ],
    },
    {
      when: 'At each setup',
      lines: [
        'Setup opens on the one in work. Copy from the reference, then set what differs: the steps are those of your camera.',
        'Read the light and write it down. The gauge says how far the settings stand from the meter.',
        'What will not match is marked before it is pushed, beside the field, with what would mend it.',
      ],
    },
    {
      when: 'At each take',
      lines: [
        'Roll and cut. What the cameras are set to is kept with the take, and so is what was changed while it rolled.',
        'Write down the clip and what happened in the picture.',
      ],
    },
    {
      when: 'Between',
      lines: [
        'A full card: take it out, copy it to as many places as the shoot asks for, check the copies. Only then can it be cleared for preparing.',
        'What others ask of you waits in the notices: do it there in one touch, or say why not.',
      ],
    },
    {
      when: 'At wrap',
      lines: [
        'Every take on its verified copies, every card accounted for, every item back in its case or named.',
        'Batteries go on charge where somebody can see them.',
      ],
    },
  ],
  sound: [
    {
      when: 'First',
      lines: [
        'Kit: sign for what you take out, and go through the checks before the day.',
        'Set the recorder up on Sound: channels, rate, timecode. Line-up tone is read on every camera.',
        'Whether a radio carrier may be used here is for the local licence to say. Turn headphones down before they go on.',
      ],
    },
    {
      when: 'At each setup',
      lines: [
        'Sound opens on the setup in work: one row for each channel, with its source, level and noise.',
        'A channel with a fault is flagged in one touch; everybody sees it until it is open again.',
        'Carriers that would disturb each other are named, with one that would not.',
      ],
    },
    {
      when: 'At each take',
      lines: [
        'Say how it sounded: good, usable or bad, and what was heard.',
        'Levels that you ride are kept with the take.',
      ],
    },
    {
      when: 'Between',
      lines: [
        'Room tone of every place, before it is left.',
        'Flag what hums or rattles for the department that can mend it.',
      ],
    },
    {
      when: 'At wrap',
      lines: [
        'Copy and check the recorder’s cards like those of the cameras.',
        'Every lapel and pack is back; radios and phantom power are off.',
      ],
    },
  ],
  producer: [
    {
      when: 'First',
      lines: [
        'Progress answers without a touch: are we on time, is it good, is anything wrong.',
        'You read everything and set nothing, so you cannot disturb anybody.',
      ],
    },
    {
      when: 'At each setup',
      lines: [
        'Day shows what is in work and what is still to come. Match shows whether it will cut together.',
      ],
    },
    {
      when: 'At each take',
      lines: ['A strip says that a camera rolls, on every screen. The verdict comes when it is cut.'],
    },
    {
      when: 'Between',
      lines: [
        'The forecast of wrap comes from how long setups took today. It is a span, not a promise.',
        'Accepted breaks stand with their reason and with who accepted them.',
      ],
    },
    {
      when: 'At wrap',
      lines: ['Papers holds the reports, as pages and as tables. They are the same whoever fetches them.'],
    },
  ],
};

/** What a board that is played for practice says to whoever comes to it first. */
export const REHEARSAL: readonly string[] = [
  'The shoot on this board is invented, and so are its people, places and kit. Nothing can be broken: set what you like, Undo takes it back.',
  'It is not quite in order, so that there is something to see.',
];

/** What each role may try first on such a board. */
export const TRY: Readonly<Record<GuideRole, string>> = {
  director:
    'Open Match: where a line steps, two setups will not cut. Touch the mark, and ask the department for what would mend it.',
  camera:
    'Findings, at the top, leads to a setup that is too bright for its neighbour. Mend it with one touch, and look at Match again.',
  sound: 'Findings, at the top, leads to a channel that two microphones share. Move one, and it is gone.',
  producer:
    'Open this board on a second device as director, start a setup there, and roll and cut a take: Progress here follows.',
};

/** How a board for a shoot of one’s own comes to be. */
export const OWN_BOARD =
  'For a shoot of your own, whoever runs the base makes a board with “plumbline board create” and sends each role its link. The director takes a plan in under Plan, or adds scenes and setups one by one.';

/** The marks, with what each means. */
export const MARKS: readonly (readonly [mark: MarkName, word: string, means: string])[] = [
  ['fault', 'Fault', 'It cannot be, or it will not record rightly.'],
  ['break', 'Break', 'It does not match what it must cut with.'],
  ['advice', 'Advice', 'Common practice says otherwise.'],
  ['accepted', 'Accepted', 'The director lets it stand, with a reason.'],
  ['good', 'Good', 'Looked at and in order.'],
  ['planned', 'Planned', 'Not begun.'],
  ['work', 'In work', 'Begun and not done.'],
  ['done', 'Complete', 'Done.'],
];

/** What happens when the base is out of reach. */
export const OFFLINE: readonly string[] = [
  'Go on as before. Everything you set stays on this tablet and is sent when the base is back.',
  'The chip at the top says how much is stored at the base. Stored means on its disk.',
  'Where two people set one value unseen by each other, the newer stands and the other is kept: one touch puts it back.',
  'Do not clear the browser’s data while something waits.',
];
