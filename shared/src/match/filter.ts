import type { MatchRow } from '../rules/index.ts';
import type { MatchGroupModel, MatchLine, MatchModel, MatchRowHead } from './model.ts';

/** What of the picture is wanted; `null` is everything. */
export interface MatchFilter {
  /** Whose settings: `camera` for what cameras are set to, `sound` for the sound row. */
  readonly department: 'camera' | 'sound' | null;
  /** One camera; recorders stay, whichever camera is chosen. */
  readonly camera: string | null;
}

export const NO_FILTER: MatchFilter = { department: null, camera: null };

/** Whether a line is wanted. The sample rate that a camera is set to belongs to both departments. */
export function wants({ department, camera }: MatchFilter, row: MatchRow, { source }: MatchLine): boolean {
  if (department === 'camera' && source.kind !== 'camera') return false;
  if (department === 'sound' && row !== 'sound') return false;
  return source.kind !== 'camera' || camera === null || camera === source.id;
}

/** Whether a row is drawn at all. */
export function wantsRow({ department }: MatchFilter, row: MatchRow): boolean {
  return department !== 'sound' || row === 'sound';
}

/** A group without the rows and lines that are not wanted. */
export function filterGroup(group: MatchGroupModel, filter: MatchFilter): MatchGroupModel {
  if (filter.department === null && filter.camera === null) return group;
  return {
    ...group,
    rows: group.rows
      .filter(({ row }) => wantsRow(filter, row))
      .map((one) => ({ ...one, lines: one.lines.filter((line) => wants(filter, one.row, line)) })),
  };
}

/** The heads of the rows that are wanted. Their scales stay what they are, so that a filter moves no step. */
export function filterRows(rows: readonly MatchRowHead[], filter: MatchFilter): readonly MatchRowHead[] {
  return rows.filter(({ row }) => wantsRow(filter, row));
}

/** The whole picture without what is not wanted. */
export function filterModel(model: MatchModel, filter: MatchFilter): MatchModel {
  return {
    ...model,
    groups: model.groups.map((group) => filterGroup(group, filter)),
    rows: filterRows(model.rows, filter),
  };
}
