import { splitId } from '@plumbline/replica';
import type { Department, ShootReader } from '../tables/index.ts';
import { cardsInDevice } from '../views/media.ts';
import { picturesOf } from '../views/picture.ts';
import { placeOfSetup } from '../views/setups.ts';
import { channelsOf } from '../views/sound.ts';
import { ruleCatalogue } from './catalogue.ts';
import type { Finding, Severity, Target, Unknown } from './finding.ts';

/** Something that the rules see and that should be mended, or accepted, before the first take. */
export interface ReadyFinding {
  readonly kind: 'finding';
  readonly department: Department;
  readonly id: string;
  readonly rule: string;
  readonly severity: Severity;
  readonly message: string;
}

/** Fields that a department must enter before the rules can say whether the setup is ready. */
export interface ReadyUnknown {
  readonly kind: 'unknown';
  readonly department: Department;
  readonly missing: readonly Target[];
}

/** A check that no rule can make: somebody looks, and ticks. */
export interface ReadyCheck {
  readonly kind: 'check';
  readonly department: Department;
  /** `setup.department.check` */
  readonly record: string;
  readonly title: string;
}

export type ReadyItem = ReadyFinding | ReadyUnknown | ReadyCheck;

/** What stands between a setup and its first take. */
export interface Readiness {
  readonly setup: string;
  /** Nothing stands against it, everything that is asked is known, and every check is ticked. */
  readonly ready: boolean;
  /** What is found: computed, the gravest first. */
  readonly findings: readonly ReadyFinding[];
  /** What is not known yet, by department: computed once it is entered. */
  readonly unknowns: readonly ReadyUnknown[];
  /** What a person must look at and tick. */
  readonly checks: readonly ReadyCheck[];
  /** All of the above by the department that mends it. */
  readonly by: Readonly<Record<Department, readonly ReadyItem[]>>;
}

const BEFORE_TAKE: ReadonlySet<string> = new Set(
  ruleCatalogue.filter(({ beforeTake }) => beforeTake).map(({ id }) => id),
);

/** This rule speaks of checks; here they are told one by one. */
const OF_CHECKS = 'checks-unticked';

const OF_SETUP: ReadonlySet<string> = new Set(['setups', 'picture', 'inputs', 'takes', 'checks']);

/** Whether a finding is about a setup, or about something that the setup is shot with. */
function concerns(reader: ShootReader, setup: string): (finding: Finding) => boolean {
  const devices = new Set([
    ...picturesOf(reader, setup).map(({ camera }) => `cameras/${camera}`),
    ...channelsOf(reader, setup).map(({ recorder }) => `recorders/${recorder}`),
  ]);
  const place = placeOfSetup(reader, setup);
  const cards = [...devices].flatMap((device) => {
    const [table, record = ''] = device.split('/');
    return table === 'cameras' || table === 'recorders'
      ? cardsInDevice(reader, table, record).map(({ card }) => card)
      : [];
  });
  return ({ rule, targets }) => {
    // A card that was wiped is about the card: it stands against every setup that would be recorded on it.
    if (rule === 'media-card-wiped') {
      return targets.some(({ table, record }) => table === 'cards' && cards.includes(record));
    }
    const own = targets.find(({ table }) => OF_SETUP.has(table));
    if (own) return splitId(own.record)[0] === setup;
    return targets.some(
      ({ table, record }) =>
        devices.has(`${table}/${record}`) || (table === 'places' && record === place) || table === 'shoot',
    );
  };
}

/** The check records of a setup that are not ticked, by their ids. */
function openChecks(reader: ShootReader, setup: string): ReadyCheck[] {
  return reader.records('checks').flatMap((record) => {
    const [of, department, name = ''] = splitId(record);
    if (of !== setup || reader.value('checks', record, 'doneAt') !== undefined) return [];
    if (department !== 'director' && department !== 'camera' && department !== 'sound') return [];
    return [
      { kind: 'check' as const, department, record, title: reader.value('checks', record, 'title') ?? name },
    ];
  });
}

/** Every field once, by the department that its rule asks. */
function missingByDepartment(unknowns: readonly Unknown[]): ReadyUnknown[] {
  const fields = new Map<Department, Map<string, Target>>();
  for (const { department, missing } of unknowns) {
    const mine = fields.get(department) ?? new Map<string, Target>();
    for (const target of missing) mine.set(`${target.table}/${target.record}/${target.field}`, target);
    fields.set(department, mine);
  }
  return [...fields].map(([department, mine]) => ({
    kind: 'unknown',
    department,
    missing: [...mine.values()],
  }));
}

/**
 * What stands between a setup and its first take, and who mends it. Rolling anyway is never refused.
 *
 * @param findings those of the board, or those that lie on the setup
 * @param unknowns those of the setup; others are passed over
 */
export function readiness(
  reader: ShootReader,
  findings: readonly Finding[],
  unknowns: readonly Unknown[],
  setup: string,
): Readiness {
  const isAbout = concerns(reader, setup);
  const found = findings
    .filter(({ accepted, rule }) => accepted === null && BEFORE_TAKE.has(rule) && rule !== OF_CHECKS)
    .filter(isAbout)
    .map(
      ({ id, rule, severity, department, message }): ReadyFinding => ({
        kind: 'finding',
        department,
        id,
        rule,
        severity,
        message,
      }),
    );
  const asked = missingByDepartment(
    unknowns.filter((unknown) => unknown.setup === setup && BEFORE_TAKE.has(unknown.rule)),
  );
  const checks = openChecks(reader, setup);
  const items: readonly ReadyItem[] = [...found, ...asked, ...checks];
  const of = (department: Department) => items.filter((item) => item.department === department);
  return {
    setup,
    ready: items.length === 0,
    findings: found,
    unknowns: asked,
    checks,
    by: { director: of('director'), camera: of('camera'), sound: of('sound') },
  };
}
