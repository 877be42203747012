import type { ShootRecord } from '../tables/index.ts';

/** Where a card is on its way through the day. */
export type CardState = NonNullable<ShootRecord<'cards'>['state']>;

/** What can happen to a card. */
export type CardEvent =
  /** It is put into a camera or a recorder. */
  | 'putIn'
  /** A take is recorded on it. */
  | 'record'
  /** It has no room left. */
  | 'fill'
  /** It is taken out. */
  | 'takeOut'
  /** Its contents are copied. */
  | 'copy'
  /** As many copies as the shoot asks for are compared with it. */
  | 'verify'
  /** It may be prepared: what is on it is safe elsewhere. */
  | 'clear'
  /** It was prepared: formatted, empty, ready. */
  | 'prepare';

export const CARD_EVENTS: readonly CardEvent[] = [
  'putIn',
  'record',
  'fill',
  'takeOut',
  'copy',
  'verify',
  'clear',
  'prepare',
];

/**
 * What comes of an event. What has happened out there is never refused: it is at most odd, and recorded. Refused is
 * what claims something that cannot be so, or permits what must not be.
 */
export type Decision =
  | { readonly kind: 'allowed'; readonly to: CardState }
  | { readonly kind: 'odd'; readonly to: CardState; readonly says: string }
  | { readonly kind: 'refused'; readonly says: string };

const allowed = (to: CardState): Decision => ({ kind: 'allowed', to });
const odd = (to: CardState, says: string): Decision => ({ kind: 'odd', to, says });
const refused = (says: string): Decision => ({ kind: 'refused', says });

const NOTHING_ON_IT = refused('Nothing was recorded on it.');
const NO_COPY = refused('No copy of it is entered yet.');
const COPY_FIRST = refused('Copy it and verify the copies first; then it is cleared.');
const NOT_IN_COPIES = 'What is recorded on it from now on is in none of its copies.';

/**
 * Every state by every event, each decided. Common practice, no source. A card stays blank or cleared in the camera
 * until it is prepared there, which is where cards are prepared.
 */
export const CARD_TABLE: Readonly<Record<CardState, Readonly<Record<CardEvent, Decision>>>> = {
  blank: {
    putIn: allowed('blank'),
    record: odd('inCamera', 'It was recorded on without being prepared.'),
    fill: NOTHING_ON_IT,
    takeOut: allowed('blank'),
    copy: NOTHING_ON_IT,
    verify: NOTHING_ON_IT,
    clear: refused('Nothing is on it: prepare it as it is.'),
    prepare: allowed('prepared'),
  },
  prepared: {
    putIn: allowed('inCamera'),
    record: allowed('inCamera'),
    fill: odd('full', 'It was full without being marked as in the camera.'),
    takeOut: allowed('prepared'),
    copy: odd('copied', 'It was copied without being marked as recorded on.'),
    verify: NO_COPY,
    clear: refused('It is prepared already.'),
    prepare: allowed('prepared'),
  },
  inCamera: {
    putIn: allowed('inCamera'),
    record: allowed('inCamera'),
    fill: allowed('full'),
    takeOut: allowed('out'),
    copy: odd('inCamera', `It was copied in the camera. ${NOT_IN_COPIES}`),
    verify: refused('Take it out first; what is recorded meanwhile is in none of its copies.'),
    clear: refused('It is in the camera. Take it out, copy it and verify the copies first.'),
    prepare: allowed('inCamera'),
  },
  full: {
    putIn: odd('inCamera', 'It was marked as full.'),
    record: odd('inCamera', 'It was marked as full and is recorded on again.'),
    fill: allowed('full'),
    takeOut: allowed('full'),
    copy: allowed('copied'),
    verify: NO_COPY,
    clear: COPY_FIRST,
    prepare: odd('prepared', 'It was prepared without being cleared.'),
  },
  out: {
    putIn: allowed('inCamera'),
    record: odd('inCamera', 'It was recorded on while it stood as out of the camera.'),
    fill: allowed('full'),
    takeOut: odd('out', 'It was out already.'),
    copy: allowed('copied'),
    verify: NO_COPY,
    clear: COPY_FIRST,
    prepare: odd('prepared', 'It was prepared without being cleared.'),
  },
  copied: {
    putIn: odd('inCamera', `It was put back in after it was copied. ${NOT_IN_COPIES}`),
    record: odd('inCamera', `It was recorded on after it was copied. ${NOT_IN_COPIES}`),
    fill: odd('copied', 'It was copied already.'),
    takeOut: odd('copied', 'It was out already.'),
    copy: allowed('copied'),
    verify: allowed('verified'),
    clear: refused('Its copies are not verified yet.'),
    prepare: odd('prepared', 'It was prepared before its copies were verified.'),
  },
  verified: {
    putIn: odd('inCamera', `It was put back in after it was copied. ${NOT_IN_COPIES}`),
    record: odd('inCamera', `It was recorded on after it was copied. ${NOT_IN_COPIES}`),
    fill: odd('verified', 'It was copied already.'),
    takeOut: odd('verified', 'It was out already.'),
    copy: allowed('verified'),
    verify: allowed('verified'),
    clear: allowed('cleared'),
    prepare: odd('prepared', 'It was prepared without being cleared.'),
  },
  cleared: {
    putIn: allowed('cleared'),
    record: odd('inCamera', `It was recorded on without being prepared. ${NOT_IN_COPIES}`),
    fill: odd('cleared', 'It was cleared already: prepare it.'),
    takeOut: allowed('cleared'),
    copy: odd('cleared', 'It was cleared already.'),
    verify: odd('cleared', 'It was cleared already.'),
    clear: allowed('cleared'),
    prepare: allowed('prepared'),
  },
};

/** What comes of an event on a card in a state. */
export function decideCard(state: CardState, event: CardEvent): Decision {
  return CARD_TABLE[state][event];
}
