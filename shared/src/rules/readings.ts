import { sentence } from '../views/apart.ts';
import { pictureField } from './facts.ts';
import type { Target } from './finding.ts';
import { balanceAgainCandidate, meterAgainCandidate } from './remedies/readings.ts';
import { AGREES, found, notKnown, type Rule } from './rule.ts';
import type { PictureView } from './scopes.ts';
import { minutesText } from './words.ts';

const MS_PER_MINUTE = 60_000;

function setupField(
  { setup }: PictureView,
  field: 'lightsChangedAt' | 'placeChangedAt' | 'startedAt',
): Target {
  return { table: 'setups', record: setup.id, field };
}

/** The last thing that made the setup's light another: its lights, or the place. `null` where neither moved. */
function lightMoved({ setup }: PictureView): {
  readonly at: number;
  readonly field: 'lightsChangedAt' | 'placeChangedAt';
  readonly words: string;
  readonly allowed: string;
} | null {
  const { lightsChangedAt, placeChangedAt } = setup.record;
  if (lightsChangedAt === undefined && placeChangedAt === undefined) return null;
  return (placeChangedAt ?? 0) > (lightsChangedAt ?? 0)
    ? {
        at: placeChangedAt ?? 0,
        field: 'placeChangedAt',
        words: 'before the setup was moved to another place',
        allowed: 'at this place',
      }
    : {
        at: lightsChangedAt ?? 0,
        field: 'lightsChangedAt',
        words: 'before the lights were last changed',
        allowed: 'after the lights',
      };
}

/**
 * The moment that a daylight reading is used for: the last roll or, before the first, the start of work. The clock on
 * the wall is not asked, so that base and tablet, now and next week, say the same.
 */
function usedAt({ setup, lastRoll }: PictureView): number | null {
  return lastRoll() ?? setup.record.startedAt ?? null;
}

export const exposureReadingOld: Rule<'picture'> = {
  id: 'exposure-reading-old',
  title: 'Meter reading older than the lights',
  severity: 'advice',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'exposure',
  reads: [
    'picture.meteredAt',
    'picture.keyLux',
    'setups.lightsChangedAt',
    'setups.placeChangedAt',
    'setups.startedAt',
    'scenes.inside',
    'takes.rolledAt',
    'shoot.readingMaxAgeMinutes',
  ],
  tolerance: 'readingMaxAgeMinutes',
  basis: 'common practice, no source',
  catches:
    'A key reading taken before the lights were last changed or the setup was moved to another place; outside, also one older at the roll (before the first take: at the start of work) than a reading is good for. Lamps inside do not move by themselves.',
  why: 'Every figure of exposure rests on the reading. After a lamp has moved or the sun has, it says what the light was.',
  check(view) {
    const { setup, own } = view;
    const { keyLux, meteredAt } = own.picture;
    // Without a reading there is none to be old; that it is missing is told where the exposure is judged.
    if (keyLux === undefined) return AGREES;
    const moved = lightMoved(view);
    const used = setup.inside === 'interior' ? null : usedAt(view);
    if (moved === null && used === null) return AGREES;
    if (meteredAt === undefined) return notKnown([pictureField(own, 'meteredAt')]);
    const whose = sentence`Setup ${setup.label}, camera ${own.camera}`;
    if (moved !== null && meteredAt < moved.at) {
      const minutes = (moved.at - meteredAt) / MS_PER_MINUTE;
      return found({
        scope: [setup.id, own.camera],
        targets: [pictureField(own, 'meteredAt'), setupField(view, moved.field)],
        message: `${whose}: the light was read ${minutesText(minutes)} ${moved.words}.`,
        measured: { value: minutes, unit: 'min', text: `${minutesText(minutes)} before` },
        allowed: { value: 0, unit: 'min', text: moved.allowed },
      });
    }
    const most = view.tolerance('readingMaxAgeMinutes');
    const minutes = used === null ? 0 : (used - meteredAt) / MS_PER_MINUTE;
    if (minutes <= most) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'meteredAt')],
      message: `${whose}: the light was read ${minutesText(minutes)} before it was used, and daylight has moved since.`,
      measured: { value: minutes, unit: 'min', text: `${minutesText(minutes)} old` },
      allowed: { value: most, unit: 'min', text: `at most ${minutesText(most)}` },
    });
  },
  candidates: (view) => meterAgainCandidate(view.own, lastChange(view)),
};

/** The moment after which a reading counts as new. */
function lastChange(view: PictureView): number {
  return Math.max(lightMoved(view)?.at ?? 0, usedAt(view) ?? 0);
}

export const colourBalanceOld: Rule<'picture'> = {
  id: 'colour-balance-old',
  title: 'White balance older than the lights',
  severity: 'advice',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'colour',
  reads: [
    'picture.whiteBalancedAt',
    'picture.whiteBalanceK',
    'setups.lightsChangedAt',
    'setups.placeChangedAt',
  ],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'A white balance that was taken before the lights of the setup were last changed, or before it was moved to another place.',
  why: 'It was right for lights that are gone; gels, dimmers and another lamp all move the colour.',
  check(view) {
    const { setup, own } = view;
    const { whiteBalancedAt, whiteBalanceK } = own.picture;
    const moved = lightMoved(view);
    if (whiteBalanceK === undefined || moved === null) return AGREES;
    if (whiteBalancedAt === undefined) return notKnown([pictureField(own, 'whiteBalancedAt')]);
    if (whiteBalancedAt >= moved.at) return AGREES;
    const minutes = (moved.at - whiteBalancedAt) / MS_PER_MINUTE;
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'whiteBalancedAt'), setupField(view, moved.field)],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: white balance was taken ${minutesText(minutes)} ${moved.words}.`,
      measured: { value: minutes, unit: 'min', text: `${minutesText(minutes)} before` },
      allowed: { value: 0, unit: 'min', text: moved.allowed },
    });
  },
  candidates: (view) => balanceAgainCandidate(view.own, lastChange(view)),
};
