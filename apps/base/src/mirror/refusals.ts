/** Why a mirror does not take what it is sent: a closed list, each with the sentence that people read. */
export const MIRROR_REFUSALS = {
  key: 'The other base does not take this key any more. Ask for a new one there.',
  history:
    'The copy there and the board here have different histories, so nothing more is taken. Make a new mirror.',
  epoch:
    'The board here was put back from a backup since the copy began, so nothing more is taken. Make a new mirror.',
  promoted: 'The copy there is in use as a board of its own now, so nothing more is taken from here.',
  taken: 'The other base has a board of this name already that did not come from here.',
  otherBoard: 'That key is for the mirror of another board.',
  damaged: 'Some of it did not arrive as it was sent. It is being sent again.',
  ownLog: 'A row of the log here is damaged, so it is not passed on. Run plumbline verify.',
} as const;

export type MirrorRefusal = keyof typeof MIRROR_REFUSALS;

/** Whether text that came from another base is a reason of ours. */
export function isMirrorRefusal(why: string): why is MirrorRefusal {
  return Object.hasOwn(MIRROR_REFUSALS, why);
}

/** A mirror does not take what it was sent. */
export class MirrorRefused extends Error {
  override readonly name = 'MirrorRefused';
  readonly why: MirrorRefusal;
  constructor(why: MirrorRefusal) {
    super(MIRROR_REFUSALS[why]);
    this.why = why;
  }
}

/** What everybody is told who would change a board that is kept elsewhere. */
export const KEPT_ELSEWHERE = 'This board is kept elsewhere; here it is read only.';

/** Something was to be written on a board that is kept elsewhere. */
export class KeptElsewhere extends Error {
  override readonly name = 'KeptElsewhere';
  constructor() {
    super(KEPT_ELSEWHERE);
  }
}
