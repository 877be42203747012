import { inNameOrder } from '../views/names.ts';
import { type ItemCustody, sameCustodian } from './custody.ts';
import { anyStanding, custodiansOf, goesBack, isOut, type KitItem, setupsNeeding } from './items.ts';

/** An item with where it is. */
export interface KitRow {
  /** `department.item` */
  readonly id: string;
  readonly item: KitItem;
  readonly custody: ItemCustody;
}

/** Where the kit stands at a count. */
export interface Count {
  /** Everything in use. */
  readonly all: number;
  /** Out, by who has it; forked items stand with each who may have them, and in `disputed`. */
  readonly out: readonly KitRow[];
  /** It was out, and is in its case again. */
  readonly back: readonly KitRow[];
  readonly lost: readonly KitRow[];
  readonly disputed: readonly KitRow[];
  /** Hired or lent, not back with its owner, and due by the day asked about. */
  readonly due: readonly KitRow[];
  readonly byHolder: ReadonlyMap<string, readonly KitRow[]>;
  /** Out with nobody by name. */
  readonly withNobody: readonly KitRow[];
}

/**
 * What must come back, and from whom.
 *
 * @param day the day of the count, `2027-05-14`: what is due by then is named
 */
export function countKit(rows: readonly KitRow[], day: string): Count {
  const out: KitRow[] = [];
  const back: KitRow[] = [];
  const lost: KitRow[] = [];
  const disputed: KitRow[] = [];
  const due: KitRow[] = [];
  const withNobody: KitRow[] = [];
  const byHolder = new Map<string, KitRow[]>();
  for (const row of rows) {
    const { item, custody } = row;
    if (goesBack(item) && item.dueBack !== undefined && item.dueBack <= day && !isWithOwner(custody)) {
      due.push(row);
    }
    if (!isOut(custody)) {
      if (wasOut(custody) && !isWithOwner(custody)) back.push(row);
      continue;
    }
    out.push(row);
    if (custody.fork) disputed.push(row);
    if (anyStanding(custody, (standing) => standing.lost)) lost.push(row);
    const holders = custodiansOf(custody).flatMap((c) => (c.kind === 'person' ? [c.person] : []));
    for (const person of new Set(holders)) {
      const theirs = byHolder.get(person);
      if (theirs) theirs.push(row);
      else byHolder.set(person, [row]);
    }
    if (holders.length === 0) withNobody.push(row);
  }
  return { all: rows.length, out, back, lost, disputed, due, byHolder, withNobody };
}

/** Whether somebody ever had it: damage that was found in its case is no journey. */
function wasOut({ ledger }: ItemCustody): boolean {
  return ledger.some(
    ({ event }) => event.what !== 'damage' && event.what !== 'repair' && event.what !== 'settle',
  );
}

function isWithOwner(custody: ItemCustody): boolean {
  return custody.standing?.custodian.kind === 'owner';
}

/** What a setup needs, by department and name. */
export function kitOfSetup(rows: readonly KitRow[], setup: string): readonly KitRow[] {
  return rows.filter(({ item }) => setupsNeeding(item).includes(setup));
}

/** A case with what travels in it. */
export interface PackedCase {
  readonly name: string;
  readonly rows: readonly KitRow[];
  /** How many of them are in it now. */
  readonly inside: number;
  /** Of what is entered, kg; `null` where no weight is. */
  readonly weightKg: number | null;
}

/** The packing list: everything by the case it travels in; what is not to go, having gone back or been lost, left out. */
export function packingList(rows: readonly KitRow[]): readonly PackedCase[] {
  const cases = new Map<string, KitRow[]>();
  for (const row of rows) {
    if (isWithOwner(row.custody)) continue;
    const name = row.item.packedIn ?? '';
    const there = cases.get(name);
    if (there) there.push(row);
    else cases.set(name, [row]);
  }
  return [...cases]
    .map(([name, packed]): PackedCase => {
      const weights = packed.flatMap(({ item }) => item.weightKg ?? []);
      const total = weights.reduce((sum, kg) => sum + kg, 0);
      return {
        name,
        rows: packed,
        inside: packed.filter(({ custody }) => !isOut(custody)).length,
        weightKg: weights.length === 0 ? null : Math.round(total * 100) / 100,
      };
    })
    .sort((a, b) => Number(a.name === '') - Number(b.name === '') || inNameOrder(a.name, b.name));
}

/** Who is with a camera of the shoot. */
export interface CameraWatch {
  readonly camera: string;
  /** The item that is its body; `null` where the kit has none that says so. */
  readonly item: string | null;
  readonly state: 'held' | 'attended' | 'unattended' | 'inCase' | 'disputed' | 'lost' | 'unknown';
  /** Who answers for it, where that is somebody. */
  readonly person: string | null;
  /** Since when it stands so, ms; `null` where nothing was signed. */
  readonly since: number | null;
}

/** Who is with a camera now, by the body's ledger; of several bodies by the first that is out. */
export function watchCamera(camera: string, bodies: readonly KitRow[]): CameraWatch {
  const body = bodies.find(({ custody }) => isOut(custody)) ?? bodies[0];
  if (!body) return { camera, item: null, state: 'unknown', person: null, since: null };
  const { standing, fork } = body.custody;
  const watch = { camera, item: body.id, person: null, since: null };
  if (!standing) {
    const [first, ...others] = fork?.branches ?? [];
    const same = first && others.every(({ custodian }) => sameCustodian(custodian, first.custodian));
    return {
      ...watch,
      state: 'disputed',
      person: same && first.custodian.kind === 'person' ? first.custodian.person : null,
    };
  }
  const { custodian, down, since, lost } = standing;
  const person = custodian.kind === 'person' ? custodian.person : null;
  if (lost) return { ...watch, state: 'lost', person, since: standing.last?.event.at ?? since };
  if (person === null)
    return { ...watch, state: custodian.kind === 'nobody' ? 'unattended' : 'inCase', since };
  if (down) return { ...watch, state: down.attended ? 'attended' : 'unattended', person, since: down.at };
  return { ...watch, state: 'held', person, since };
}
