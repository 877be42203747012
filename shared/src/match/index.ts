/**
 * The match picture as data: what must agree between setups that cut together, in the units that people feel it in.
 *
 * @module
 */
import { plainBoard, type RuleBoard } from '../rules/board.ts';
import { type PictureFacts, pictureFacts } from '../rules/facts.ts';
import type { Finding } from '../rules/index.ts';
import { camerasOf } from '../rules/scopes.ts';
import { type ShootReader, toleranceOf } from '../tables/index.ts';
import { type MatchGroup, matchGroups, setupsInStoryOrder } from '../views/setups.ts';
import { type Marks, marksOf } from './marks.ts';
import type { MatchColumn, MatchLine, MatchModel, MatchPoint, MatchRowModel, MatchSpan } from './model.ts';
import { PICTURE_ROWS, type PictureRow } from './rows.ts';
import { scaleFor } from './scale.ts';
import { channelsApart, channelsText, rateApart, rateText, recordersOn } from './sound.ts';

export * from './compare.ts';
export * from './model.ts';

/** What the rows are made from. */
interface Canvas {
  readonly board: RuleBoard;
  readonly groups: readonly MatchGroup[];
  /** The column of each setup. */
  readonly columns: ReadonlyMap<string, number>;
  readonly marks: Marks;
  facts(setup: string, camera: string): PictureFacts;
}

/**
 * The match picture of a board: setups in story order by group, and for each row a line for each camera or recorder,
 * level with the group's reference at 0.
 *
 * @param findings what stands against the board now; it alone decides where a step is marked
 */
export function matchModel(reader: ShootReader, findings: readonly Finding[]): MatchModel {
  const board = plainBoard(reader);
  const groups = matchGroups(board.reader);
  const columns = groups.flatMap((group) => group.setups.map((setup) => columnOf(board, group, setup)));
  const canvas: Canvas = {
    board,
    groups,
    columns: new Map(columns.map(({ setup }, index) => [setup, index])),
    marks: marksOf(findings),
    facts: rememberFacts(board),
  };
  const grouped = new Set(columns.map(({ setup }) => setup));
  return {
    columns,
    spans: groups.map((group) => spanOf(canvas, group)),
    rows: [...PICTURE_ROWS.map((row) => pictureRow(canvas, row)), soundRow(canvas)],
    alone: setupsInStoryOrder(board.reader)
      .filter(({ id, view }) => !grouped.has(id) && view.state !== 'dropped')
      .map(({ id }) => id),
  };
}

function rememberFacts(board: RuleBoard): Canvas['facts'] {
  const known = new Map<string, PictureFacts>();
  return (setup, camera) => {
    const key = `${setup}.${camera}`;
    const facts = known.get(key) ?? pictureFacts(board, setup, camera);
    known.set(key, facts);
    return facts;
  };
}

function columnOf(
  { reader }: RuleBoard,
  group: MatchGroup,
  { id, view }: MatchGroup['setups'][number],
): MatchColumn {
  const scene = view.scene;
  return {
    setup: id,
    label: view.label ?? id,
    scene: scene === undefined ? null : (reader.view('scenes', scene).number ?? scene),
    group: group.name,
    isReference: group.reference === id,
    state: view.state ?? 'planned',
  };
}

function spanOf({ columns }: Canvas, { name, reference, setups }: MatchGroup): MatchSpan {
  const places = setups.map(({ id }) => columns.get(id) ?? 0);
  return { group: name, reference, from: Math.min(...places), to: Math.max(...places) };
}

/** The lines of a group, one for each source that any of its setups has, with a point for each setup that has it. */
function linesOf(
  { groups, columns }: Canvas,
  kind: MatchLine['source']['kind'],
  sourcesOf: (setup: string) => readonly string[],
  nameOf: (source: string) => string,
  pointOf: (setup: string, reference: string, source: string) => Pick<MatchPoint, 'value' | 'text' | 'mark'>,
  markOf: (source: string) => MatchLine['mark'],
): MatchLine[] {
  return groups.flatMap((group) => {
    const ids = group.setups.map(({ id }) => id);
    const sources = [...new Set(ids.flatMap((id) => sourcesOf(id)))].sort();
    return sources.map((source) => ({
      source: { kind, id: source, name: nameOf(source) },
      group: group.name,
      points: ids
        .filter((setup) => sourcesOf(setup).includes(source))
        .map((setup) => ({
          column: columns.get(setup) ?? 0,
          setup,
          ...pointOf(setup, group.reference, source),
        })),
      mark: markOf(source),
    }));
  });
}

function pictureRow(canvas: Canvas, declared: PictureRow): MatchRowModel {
  const { board, marks, facts } = canvas;
  const { row, title, unit, above, below, least, step, signed } = declared;
  const lines = linesOf(
    canvas,
    'camera',
    (setup) => camerasOf(board, setup),
    (camera) => board.reader.view('cameras', camera).name ?? camera,
    (setup, reference, camera) => ({
      value: declared.value(facts(setup, camera), facts(reference, camera)),
      text: declared.text(facts(setup, camera)),
      mark: marks.at(row, setup, camera),
    }),
    () => null,
  );
  const tolerance = declared.tolerance === null ? 0 : toleranceOf(board.reader, declared.tolerance);
  return {
    row,
    title,
    unit,
    above,
    below,
    scale: scaleFor(valuesOf(lines), { least, tolerance, signed, ...(step === undefined ? {} : { step }) }),
    lines,
  };
}

function soundRow(canvas: Canvas): MatchRowModel {
  const { board, marks, facts } = canvas;
  const recorders = linesOf(
    canvas,
    'recorder',
    (setup) => recordersOn(board, setup),
    (recorder) => board.reader.view('recorders', recorder).name ?? recorder,
    (setup, reference, recorder) => ({
      value: channelsApart(board, setup, reference, recorder),
      text: channelsText(board, setup, recorder),
      mark: marks.at('sound', setup, recorder),
    }),
    (recorder) => marks.on('sound', recorder),
  );
  const cameras = linesOf(
    canvas,
    'camera',
    (setup) => camerasOf(board, setup),
    (camera) => board.reader.view('cameras', camera).name ?? camera,
    (setup, reference, camera) => ({
      value: rateApart(
        facts(setup, camera).picture.sampleRateHz,
        facts(reference, camera).picture.sampleRateHz,
      ),
      text: rateText(facts(setup, camera).picture.sampleRateHz),
      mark: marks.at('sound', setup, camera),
    }),
    () => null,
  );
  const lines = [...recorders, ...cameras];
  return {
    row: 'sound',
    title: 'Sound',
    unit: 'channels or rates that differ',
    above: 'differs',
    below: '',
    scale: scaleFor(valuesOf(lines), { least: 2, tolerance: 0, signed: false, step: 1 }),
    lines,
  };
}

function valuesOf(lines: readonly MatchLine[]): number[] {
  return lines.flatMap(({ points }) => points.flatMap(({ value }) => value ?? []));
}
