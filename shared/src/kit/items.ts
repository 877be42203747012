import type { ShootRecord } from '../tables/index.ts';
import { CHECK_POINTS, type CheckPoint } from '../tables/kit.ts';
import type { Custodian, ItemCustody, Standing } from './custody.ts';

/** An item as the department entered it. */
export type KitItem = ShootRecord<'kit'>;

/** The setups that need an item, in the order they were entered. */
export function setupsNeeding({ neededBy }: Pick<KitItem, 'neededBy'>): readonly string[] {
  if (neededBy === undefined) return [];
  return typeof neededBy === 'string' ? [neededBy] : neededBy;
}

/** Whether an item goes back to somebody: it is hired or lent, or has a day by which it is due. */
export function goesBack({ ownership, dueBack }: Pick<KitItem, 'ownership' | 'dueBack'>): boolean {
  return ownership === 'hired' || ownership === 'lent' || (ownership === undefined && dueBack !== undefined);
}

/** The custodians of an item: one, or one for each story of a fork. */
export function custodiansOf({ standing, fork }: ItemCustody): readonly Custodian[] {
  return standing ? [standing.custodian] : (fork?.branches.map(({ custodian }) => custodian) ?? []);
}

/** Whether by what was signed, on any branch, something holds. */
export function anyStanding(
  { standing, fork }: ItemCustody,
  holds: (standing: Standing) => boolean,
): boolean {
  return standing ? holds(standing) : (fork?.branches.some(holds) ?? false);
}

/** Whether an item is out: neither in its case nor back with its owner. A forked one is out until somebody settles it. */
export function isOut({ standing, fork }: ItemCustody): boolean {
  if (fork) return true;
  return (
    standing?.custodian.kind === 'person' || standing?.custodian.kind === 'nobody' || standing?.lost === true
  );
}

/** Why an item is not offered for sign-out, in words that follow its name; `null` where nothing keeps it. */
export function withheld(item: KitItem, custody: ItemCustody): string | null {
  if (item.retired === true) return 'is out of use';
  if (item.condition === 'lost' || anyStanding(custody, ({ lost }) => lost)) return 'is lost';
  const fault = faultOf(item, custody);
  return fault === null ? null : `is faulty${fault === '' ? '' : `: ${fault}`}`;
}

/** What is wrong with a faulty item, perhaps without words; `null` where it is not faulty. */
export function faultOf(item: Pick<KitItem, 'condition'>, custody: ItemCustody): string | null {
  const standings = custody.standing ? [custody.standing] : (custody.fork?.branches ?? []);
  const faulty = standings.find(({ condition }) => condition === 'faulty');
  if (faulty) return faulty.fault ?? '';
  return item.condition === 'faulty' ? '' : null;
}

/** What kinds of kit have to be looked at. Common practice, no source; a department sets its own on the item. */
const POINTS_BY_KIND: readonly (readonly [RegExp, readonly CheckPoint[]])[] = [
  [/camera/i, ['body', 'glass', 'mount', 'cables', 'caps', 'cleaning']],
  [/lens|filter/i, ['body', 'glass', 'mount', 'caps', 'cleaning']],
  [/monitor|meter/i, ['body', 'glass', 'cables', 'cleaning']],
  [/support|tripod|stand|slate/i, ['body', 'mount', 'cleaning']],
  [/cable/i, ['cables', 'cleaning']],
];

/** What is looked at before an item leaves and when it comes back, in the order of the hand. */
export function checkPointsOf({
  checkPoints,
  kind,
}: Pick<KitItem, 'checkPoints' | 'kind'>): readonly CheckPoint[] {
  if (checkPoints !== undefined) return CHECK_POINTS.filter((point) => checkPoints.includes(point));
  return POINTS_BY_KIND.find(([pattern]) => pattern.test(kind ?? ''))?.[1] ?? ['body', 'cables', 'cleaning'];
}

export const CHECK_POINT_WORDS: Readonly<Record<CheckPoint, string>> = {
  body: 'Body',
  glass: 'Glass',
  mount: 'Mount',
  cables: 'Cables',
  caps: 'Caps',
  cleaning: 'Clean',
};
