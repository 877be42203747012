import { joinId } from '@plumbline/replica';
import { SHOOT } from '../tables/index.ts';
import type { SetupView } from '../views/setups.ts';
import type { TakeView } from '../views/takes.ts';
import { textCell } from './cells.ts';
import {
  asShotColumns,
  asShotDifferences,
  type Filled,
  factsOf,
  fields,
  group,
  own,
  section,
  tableOf,
  takeColumns,
} from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

/** A row of the sheet: one camera on one take, or on a setup that has none. */
interface Shot {
  readonly setup: string;
  readonly source: string;
  readonly take: TakeView | null;
}

/** The cameras that a setup has settings of, those of its takes included, by name. */
export function camerasOfSetup({ reader, takesOf }: PaperContext, setup: string): string[] {
  const standing = reader
    .records('cameras')
    .filter((camera) => Object.keys(reader.view('picture', joinId(setup, camera))).length > 0);
  const shot = takesOf(setup).flatMap(({ view }) =>
    Object.keys(view.asShotPicture ?? {}).filter((source) => source !== 'leftOut'),
  );
  return [...new Set([...standing, ...shot])].sort();
}

/** What every camera was set to on the setups of the day, and the takes it shot. */
export function cameraSections(context: PaperContext): PaperSection[] {
  const { setups, nameOf } = context;
  const takes = [...takeColumns(context), ...asShotDifferences(context, 'asShotPicture', 'picture')];
  const shoot = fields<string>(context, 'shoot', (record) => record);
  const setupFields = fields<string>(context, 'setups', (record) => record, ['label', 'description']);
  const picture = fields<string>(context, 'picture', (record) => record);
  return [
    section('shoot', 'The shoot', { groups: group(null, factsOf(shoot, SHOOT)) }),
    ...setups.flatMap(({ id, view }) => {
      const cameras = camerasOfSetup(context, id);
      const those = context.takesOf(id);
      if (cameras.length === 0 && those.length === 0) return [];
      return section(`setup-${id}`, `Setup ${view.label ?? id}`, {
        subtitle: view.description ?? null,
        groups: [
          ...group(null, factsOf(setupFields, id)),
          ...cameras.flatMap((camera) =>
            group(nameOf('cameras', camera), factsOf(picture, joinId(id, camera))),
          ),
        ],
        tables: [tableOf(`takes-${id}`, null, takes, those, ({ record }) => record)],
        notes: those.length === 0 ? ['No take yet.'] : [],
      });
    }),
  ];
}

/** One row for each camera of each take, as it was set when it was shot. */
export function cameraSheet(context: PaperContext): PaperTable {
  const rows = context.setups.flatMap(({ id }): Shot[] =>
    camerasOfSetup(context, id).flatMap((source): Shot[] => {
      const those = context.takesOf(id);
      return those.length === 0
        ? [{ setup: id, source, take: null }]
        : those.map((take) => ({ setup: id, source, take }));
    }),
  );
  const ofTake = takeColumns(context).map(
    ({ column, cell }): Filled<Shot> => ({
      column,
      cell: ({ take }) => (take === null ? { value: null, text: '' } : cell(take)),
    }),
  );
  const columns: Filled<Shot>[] = [
    ...fields<Shot>(context, 'shoot', () => SHOOT),
    ...fields<Shot>(context, 'setups', ({ setup }) => setup),
    own<Shot>('camera', 'Camera', ({ source }) => textCell(source)),
    ...ofTake,
    ...asShotColumns<Shot>(context, 'asShotPicture', 'picture', ({ setup, source }) => joinId(setup, source)),
  ];
  return tableOf('camera', null, columns, rows, ({ setup, source, take }) =>
    [take?.record ?? setup, source].join('.'),
  );
}

/** A setup as its heading names it. */
export function setupTitle({ id, view }: SetupView): string {
  return `Setup ${view.label ?? id}`;
}
