import type { TakeView } from '../views/takes.ts';
import { setupTitle } from './camera.ts';
import { cellOf, columnOf, markedFields, named, textCell } from './cells.ts';
import {
  asShotDifferences,
  type Filled,
  factsOf,
  fields,
  group,
  section,
  tableOf,
  takeColumns,
} from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

/** Every take of the day, setup by setup. */
export function takesSections(context: PaperContext): PaperSection[] {
  const scene = fields<string>(context, 'scenes', (record) => record);
  const setupFields = fields<string>(context, 'setups', (record) => record, [
    'label',
    'description',
    'scene',
  ]);
  const takes = [
    ...takeColumns(context),
    ...asShotDifferences(context, 'asShotPicture', 'picture'),
    ...asShotDifferences(context, 'asShotInputs', 'inputs'),
  ];
  const shot = context.setups.filter(({ id }) => context.takesOf(id).length > 0);
  if (shot.length === 0) return [section('none', 'Takes', { notes: ['Nothing was shot yet.'] })];
  return shot.map((setup) => {
    const { id, view } = setup;
    return section(`setup-${id}`, setupTitle(setup), {
      subtitle: view.description ?? null,
      groups: [
        ...(view.scene === undefined
          ? []
          : group(`Scene ${context.nameOf('scenes', view.scene)}`, factsOf(scene, view.scene))),
        ...group(null, factsOf(setupFields, id)),
      ],
      tables: [tableOf(`takes-${id}`, null, takes, context.takesOf(id), ({ record }) => record)],
    });
  });
}

/** One row for each take; its settings as shot in words. */
export function takesSheet(context: PaperContext): PaperTable {
  const rows = context.setups.flatMap(({ id }) => context.takesOf(id));
  const asShot = (['asShotPicture', 'asShotInputs'] as const).flatMap((copy): Filled<TakeView>[] =>
    markedFields(context.kind, 'takes')
      .filter(({ name }) => name === copy)
      .map((marked) => ({
        column: columnOf(marked),
        cell: ({ view }) => textCell(asShotText(context, copy, view)),
      })),
  );
  const columns: Filled<TakeView>[] = [
    ...fields<TakeView>(context, 'scenes', ({ setup }) => context.reader.value('setups', setup, 'scene')),
    ...fields<TakeView>(context, 'setups', ({ setup }) => setup),
    ...takeColumns(context),
    ...asShot,
  ];
  return tableOf('takes', null, columns, rows, ({ record }) => record);
}

/** A take's settings as they were, source by source: `A: Aperture f/4, ISO 800`. */
function asShotText(
  context: PaperContext,
  copy: 'asShotPicture' | 'asShotInputs',
  view: TakeView['view'],
): string {
  const table = copy === 'asShotPicture' ? 'picture' : 'inputs';
  const paper = copy === 'asShotPicture' ? 'camera' : 'sound';
  return Object.entries(view[copy] ?? {})
    .filter(([source]) => source !== 'leftOut')
    .map(([source, settings]) => {
      const words = markedFields(paper, table).flatMap(({ name, field }) => {
        const cell = cellOf(context, field, settings[name]);
        return cell.text === '' ? [] : [named(field, cell)];
      });
      return `${source}: ${words.join(', ')}`;
    })
    .join('; ');
}
