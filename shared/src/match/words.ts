import { sentence } from '../views/apart.ts';
import type {
  MarkState,
  MatchColumn,
  MatchGroupModel,
  MatchLine,
  MatchPoint,
  MatchRowHead,
} from './model.ts';

/** What a mark is called wherever it stands. */
export const MARK_WORDS: Readonly<Record<MarkState, string>> = {
  fault: 'fault',
  break: 'break',
  advice: 'advice',
  accepted: 'accepted',
};

/** The gravest first; what is accepted comes after all that is open. */
export const MARK_STATES: readonly MarkState[] = ['fault', 'break', 'advice', 'accepted'];

/** The gravest of some states; `null` of none. */
export function gravestOf(states: Iterable<MarkState>): MarkState | null {
  const there = new Set(states);
  return MARK_STATES.find((state) => there.has(state)) ?? null;
}

type Measured = Pick<MatchRowHead, 'decimals' | 'scale'>;

/** Whether a value is a step at all, to the decimals that it is written with. */
export function isStep({ decimals }: Measured, value: number | null): value is number {
  return value !== null && Number(Math.abs(value).toFixed(decimals)) !== 0;
}

/** A value with its sign as it stands at a step: `+1.0`, `−12`; without one where values only count. */
export function stepText(head: Measured, value: number): string {
  const size = Math.abs(value).toFixed(head.decimals);
  if (!isStep(head, value) || head.scale.min === 0) return size;
  return `${value > 0 ? '+' : '−'}${size}`;
}

/** Units as they are said of one or less. */
const ONE: Readonly<Record<string, string>> = {
  stops: 'stop',
  'stops of aperture': 'stop of aperture',
  'degrees of shutter': 'degree of shutter',
  'fields that differ': 'field that differs',
  'channels or rates that differ': 'channel or rate that differs',
};

/** How far something is from its reference, in words: `1.0 stop brighter`, `level`, `not known yet`. */
export function distanceText(head: MatchRowHead, value: number | null): string {
  if (value === null) return 'not known yet';
  if (!isStep(head, value)) return 'level';
  const size = Math.abs(value).toFixed(head.decimals);
  const unit = Number(size) > 1 ? head.unit : (ONE[head.unit] ?? head.unit);
  if (head.scale.min === 0) return `${size} ${unit}`;
  return `${size} ${unit} ${value > 0 ? head.above : head.below}`;
}

/** The short form of a setting: what stands before the first comma, where that is short enough for a column. */
export function shortSetting(point: MatchPoint): string {
  const [short = ''] = point.text.split(',');
  return short.length <= 10 ? short : '';
}

/** What a point says, for those who cannot see it. */
export function pointWords(head: MatchRowHead, line: MatchLine, point: MatchPoint, label: string): string {
  return sentence`${head.title}, ${label}, ${line.source.name}: ${distanceText(head, point.value)}`;
}

/** What stands at a point with its mark: `1.0 stop brighter, break`, `level, accepted by Ilse Marrowby: it is dusk`. */
export function stateText(head: MatchRowHead, point: MatchPoint): string {
  const { mark } = point;
  const distance = distanceText(head, point.value);
  if (!mark) return distance;
  const { accepted } = mark;
  return `${distance}, ${accepted ? `accepted by ${accepted.by}: ${accepted.reason}` : MARK_WORDS[mark.state]}`;
}

/** A whole column in one sentence: what is marked in it, or that nothing is. */
export function columnWords(group: MatchGroupModel, heads: readonly MatchRowHead[], index: number): string {
  const column: MatchColumn | undefined = group.columns[index];
  if (!column) return '';
  const marked = heads.flatMap((head) =>
    linesOfRow(group, head).flatMap((line) => {
      const point = pointAt(line, index);
      return point?.mark ? [sentence`${head.title} ${line.source.id} ${stateText(head, point)}`] : [];
    }),
  );
  const scene = column.scene === null ? '' : `, scene ${column.scene}`;
  const role = column.isReference ? ', the reference' : '';
  return sentence`Setup ${column.label}${scene}${role}, group ${group.name}: ${marked.length === 0 ? 'nothing marked' : marked.join('; ')}`;
}

/** What a line has in a column; `undefined` where its source was not there. */
export function pointAt({ points }: MatchLine, column: number): MatchPoint | undefined {
  // As a rule a source is on every setup of its group.
  const there = points[column];
  return there?.column === column ? there : points.find((point) => point.column === column);
}

/** The lines of a group in a row. */
export function linesOfRow(group: MatchGroupModel, { row }: Pick<MatchRowHead, 'row'>): readonly MatchLine[] {
  return group.rows.find((one) => one.row === row)?.lines ?? [];
}

/** What is marked in a group, each row of each setup counted once, by its gravest state. */
export function marksIn(group: MatchGroupModel): Readonly<Record<MarkState, number>> {
  const count = { fault: 0, break: 0, advice: 0, accepted: 0 };
  for (const { lines } of group.rows) {
    for (let column = 0; column < group.columns.length; column++) {
      const states = lines.flatMap((line) => pointAt(line, column)?.mark?.state ?? []);
      const gravest = gravestOf(states);
      if (gravest) count[gravest] += 1;
    }
  }
  return count;
}
