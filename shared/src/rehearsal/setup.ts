import { type Change, joinId, splitId } from '@plumbline/replica';
import { routineAt, tick } from '../routine/index.ts';
import { allAsks, askChanges, evaluate, type Finding, takeAskChanges } from '../rules/index.ts';
import { DEPARTMENTS } from '../tables/index.ts';
import { nextTake } from '../views/index.ts';
import { between, changesOf, happens, labelOf, pick, type Stage, type Steps, somebodyOf } from './stage.ts';
import { CHANNEL_FAULTS, DIRECTOR_GOOD, DIRECTOR_NOT, FLAGS, PICTURE_NOTES, SOUND_NOTES } from './words.ts';

const MOST_TAKES = 5;
/** Where a reading has to begin and nothing is planned, lx. */
const SOME_LUX = 640;
/** White balance that is set by mistake: far from its reference, K. */
const WRONG_BALANCE_K = [3200, 6500] as const;

/** The records of a table that belong to a setup. */
function recordsOf(stage: Stage, table: 'picture' | 'inputs', setup: string): string[] {
  return stage
    .read()
    .records(table)
    .filter((record) => splitId(record)[0] === setup);
}

/** The light is read and the white balance taken, on every camera that is planned for the setup. */
function* meter(stage: Stage, setup: string): Steps {
  const at = Math.floor(stage.now());
  const changes = recordsOf(stage, 'picture', setup).flatMap((record): Change[] => {
    const planned = stage.read().value('picture', record, 'keyLux') ?? SOME_LUX;
    const key = Math.max(1, Math.round(planned * between(stage, 0.96, 1.04)));
    const fill = Math.max(
      1,
      Math.round((stage.read().value('picture', record, 'fillLux') ?? key / 4) * between(stage, 0.97, 1.03)),
    );
    return changesOf('picture', record, { keyLux: key, fillLux: fill, meteredAt: at, whiteBalancedAt: at });
  });
  if (changes.length === 0) return;
  const by = somebodyOf(stage, 'camera');
  yield {
    minutes: 2,
    by,
    says: `${labelOf(stage.read(), setup)}: light read`,
    changes,
    at: { screen: 'setup', record: setup },
  };
}

/** Levels are taken and the channels opened. */
function* level(stage: Stage, setup: string): Steps {
  const changes = recordsOf(stage, 'inputs', setup).flatMap((record): Change[] =>
    changesOf('inputs', record, {
      levelDbfs: Math.round(between(stage, -24, -12)),
      noiseFloorDbfs: Math.round(between(stage, -68, -58)),
      state: 'open',
    }),
  );
  if (changes.length === 0) return;
  const by = somebodyOf(stage, 'sound');
  yield {
    minutes: 2,
    by,
    says: `${labelOf(stage.read(), setup)}: levels taken`,
    changes,
    at: { screen: 'sound', record: setup },
  };
}

/** Every department goes through what it has to look at itself. */
export function* ticks(
  stage: Stage,
  when: 'beforeDay' | 'setup' | 'wrap',
  of: { setup: string | null; day: string | undefined },
): Steps {
  for (const department of DEPARTMENTS) {
    const at = Math.floor(stage.now());
    const by = somebodyOf(stage, department);
    const changes = routineAt(stage.read(), when, { department, ...of, now: at })
      .filter(({ line, done }) => !done && !line.retired && line.computedBy === null)
      .flatMap((line) => tick(line, by.person, at));
    if (changes.length === 0) continue;
    yield {
      minutes: between(stage, 1, 3),
      by,
      says: `${department}: the routine`,
      changes,
      at: { screen: 'kit', record: 'checks' },
    };
  }
}

/** One department sees something of another's, and it is mended. */
function* flag(stage: Stage, setup: string): Steps {
  const seen = pick(stage.chance, FLAGS);
  if (!seen) return;
  const by = somebodyOf(stage, seen.by);
  const record = `r${stage.read().records('flags').length + 1}-${setup}`.slice(0, 40);
  const place = { screen: 'setup', record: setup };
  yield {
    minutes: 1,
    by,
    says: `Flag: ${seen.what}`,
    changes: changesOf('flags', record, {
      what: seen.what,
      about: `setups/${setup}`,
      department: seen.for,
      severity: seen.severity,
      raisedBy: by.person,
      raisedAt: Math.floor(stage.now()),
    }),
    at: place,
  };
  const answers = somebodyOf(stage, seen.for);
  yield {
    minutes: between(stage, 1, 4),
    by: answers,
    says: `Answered: ${seen.answer}`,
    changes: changesOf('flags', record, {
      answer: seen.answer,
      answeredBy: answers.person,
      answeredAt: Math.floor(stage.now()),
    }),
    at: place,
  };
}

/** A channel fails and is mended. */
function* channelFault(stage: Stage, setup: string): Steps {
  const record = pick(stage.chance, recordsOf(stage, 'inputs', setup));
  const fault = pick(stage.chance, CHANNEL_FAULTS);
  if (record === undefined || fault === undefined) return;
  const by = somebodyOf(stage, 'sound');
  const place = { screen: 'sound', record: setup };
  const name = splitId(record)[2] ?? record;
  yield {
    minutes: 1,
    by,
    says: `Channel ${name}: ${fault}`,
    changes: changesOf('inputs', record, { state: 'flagged', fault }),
    at: place,
  };
  yield {
    minutes: 4,
    by,
    says: `Channel ${name} open again`,
    changes: changesOf('inputs', record, { state: 'open', fault: null }),
    at: place,
  };
}

/** What the board finds of a camera's in a setup since something was set there, with a remedy that it can make. */
function findingIn(stage: Stage, record: string, field: string): Finding | undefined {
  return evaluate(stage.read()).findings.find(
    ({ targets, department, accepted, remedies }) =>
      accepted === null &&
      department === 'camera' &&
      targets.some(
        (target) => target.table === 'picture' && target.record === record && target.field === field,
      ) &&
      remedies.some((remedy) => remedy.by === 'camera' && remedy.changes.length > 0),
  );
}

/** A camera is set wrong; the director asks for what would mend it, and camera does that. */
function* brokenMatch(stage: Stage, setup: string): Steps {
  const record = pick(stage.chance, recordsOf(stage, 'picture', setup));
  if (record === undefined) return;
  const before = stage.read().value('picture', record, 'whiteBalanceK') ?? null;
  const wrong = WRONG_BALANCE_K[before !== null && before < 4500 ? 1 : 0];
  const camera = somebodyOf(stage, 'camera');
  const label = labelOf(stage.read(), setup);
  const place = { screen: 'setup', record: setup };
  const set = (value: number | null): Change[] => changesOf('picture', record, { whiteBalanceK: value });
  yield {
    minutes: 1,
    by: camera,
    says: `${label}: white balance ${wrong} K`,
    changes: set(wrong),
    at: place,
  };

  const finding = findingIn(stage, record, 'whiteBalanceK');
  const remedy = finding?.remedies.find(({ by, changes }) => by === 'camera' && changes.length > 0);
  const director = somebodyOf(stage, 'director');
  const name = `r${stage.read().records('asks').length + 1}`;
  const asked =
    finding &&
    remedy &&
    askChanges(stage.read(), finding, remedy, { person: director.person, name, at: Math.floor(stage.now()) });
  if (asked) {
    yield {
      minutes: 2,
      by: director,
      says: `Asked of camera: ${remedy.label}`,
      changes: asked,
      at: { screen: 'match' },
    };
    const ask = allAsks(stage.read()).find((each) => each.record === joinId(director.person, name));
    if (ask?.state === 'open') {
      const doing = somebodyOf(stage, 'camera');
      const changes = takeAskChanges(ask, doing.person, Math.floor(stage.now()));
      yield { minutes: 2, by: doing, says: `Done: ${ask.words}`, changes, at: place };
    }
  }
  if (stage.read().value('picture', record, 'whiteBalanceK') === wrong && before !== wrong) {
    yield {
      minutes: 1,
      by: camera,
      says: `${label}: white balance as it was`,
      changes: set(before),
      at: place,
    };
  }
}

/** A take from the roll to the verdict. */
function* take(stage: Stage, setup: string, isLast: boolean): Steps {
  const record = nextTake(stage.read(), setup);
  const number = splitId(record)[1] ?? '';
  const name = `${labelOf(stage.read(), setup)} take ${number}`;
  const place = { screen: 'setup', record: setup };
  const rolls = somebodyOf(stage, happens(stage, 70) ? 'camera' : 'director');
  const longest = stage.read().value('setups', setup, 'takeMinutes') ?? 2;
  const runs = Math.max(0.2, between(stage, 0.3, 0.9) * longest);
  // somebody rides a level in the middle of some takes
  const channel = happens(stage, 15) ? recordsOf(stage, 'inputs', setup)[0] : undefined;
  yield {
    minutes: channel === undefined ? runs : runs / 2,
    by: rolls,
    says: `Rolled ${name}`,
    changes: changesOf('takes', record, { rolledAt: Math.floor(stage.now()), rolledBy: rolls.person }),
    at: place,
  };
  if (channel !== undefined) {
    const by = somebodyOf(stage, 'sound');
    const levelDbfs = Math.round(between(stage, -24, -12));
    yield {
      minutes: runs / 2,
      by,
      says: `${name}: level ridden`,
      changes: changesOf('inputs', channel, { levelDbfs }),
      at: { screen: 'sound', record: setup },
    };
  }
  yield {
    minutes: 0.3,
    by: rolls,
    says: `Cut ${name}`,
    changes: changesOf('takes', record, { cutAt: Math.floor(stage.now()), cutBy: rolls.person }),
    at: place,
  };
  const sound = somebodyOf(stage, 'sound');
  const isClean = isLast || happens(stage, 60);
  yield {
    minutes: 0.3,
    by: sound,
    says: `${name}: sound ${isClean ? 'good' : 'usable'}`,
    changes: changesOf('takes', record, {
      soundState: isClean ? 'good' : 'usable',
      ...(!isClean && { soundNote: pick(stage.chance, SOUND_NOTES) ?? null }),
    }),
    at: { screen: 'sound', record: setup },
  };
  const camera = somebodyOf(stage, 'camera');
  yield {
    minutes: 0.3,
    by: camera,
    says: `${name}: clip`,
    changes: changesOf('takes', record, {
      clip: `${setup}_${number.padStart(3, '0')}`.slice(0, 60),
      ...(happens(stage, 25) && { pictureNote: pick(stage.chance, PICTURE_NOTES) ?? null }),
    }),
    at: place,
  };
  const director = somebodyOf(stage, 'director');
  const verdict = isLast ? 'good' : happens(stage, 40) ? 'keep' : 'no';
  const words = verdict === 'no' ? DIRECTOR_NOT : DIRECTOR_GOOD;
  yield {
    minutes: between(stage, 1, 4),
    by: director,
    says: `${name}: ${verdict === 'no' ? 'no good' : verdict}`,
    changes: changesOf('takes', record, {
      verdict,
      ...((isLast || happens(stage, 50)) && { directorNote: pick(stage.chance, words) ?? null }),
    }),
    at: place,
  };
}

/** A setup from the first lamp to the last take. */
export function* shootSetup(stage: Stage, setup: string, day: string | undefined): Steps {
  const view = stage.read().view('setups', setup);
  const label = labelOf(stage.read(), setup);
  const director = somebodyOf(stage, 'director');
  const place = { screen: 'day' };
  if (view.priority === 'spare' && happens(stage, 40)) {
    const changes = changesOf('setups', setup, { state: 'dropped' });
    yield { minutes: 1, by: director, says: `${label}: dropped`, changes, at: place };
    return;
  }
  yield {
    // the light is set meanwhile
    minutes: between(stage, 0.3, 0.6) * (view.plannedMinutes ?? 15),
    by: director,
    says: `${label}: in work`,
    changes: changesOf('setups', setup, { state: 'inWork', startedAt: Math.floor(stage.now()) }),
    at: place,
  };
  yield* meter(stage, setup);
  yield* level(stage, setup);
  yield* ticks(stage, 'setup', { setup, day });
  const isMatched = view.reference !== undefined && view.reference !== setup;
  if (isMatched && happens(stage, 60)) yield* brokenMatch(stage, setup);
  if (happens(stage, 35)) yield* flag(stage, setup);
  if (happens(stage, 20)) yield* channelFault(stage, setup);
  const count = 1 + Math.floor(stage.chance() ** 2 * MOST_TAKES);
  for (let n = 1; n <= count; n++) yield* take(stage, setup, n === count);
  yield {
    minutes: 1,
    by: director,
    says: `${label}: complete`,
    changes: changesOf('setups', setup, { state: 'complete', completedAt: Math.floor(stage.now()) }),
    at: place,
  };
}
