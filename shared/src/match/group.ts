import type { RuleBoard } from '../rules/board.ts';
import { type PictureFacts, pictureFacts } from '../rules/facts.ts';
import { membersOf } from '../rules/groups.ts';
import type { MatchRow } from '../rules/index.ts';
import { camerasOf } from '../rules/scopes.ts';
import { bothMarks, type Marks } from './marks.ts';
import type { MatchColumn, MatchGroupModel, MatchGroupRow, MatchLine, MatchPoint } from './model.ts';
import { PICTURE_ROWS, type PictureRow } from './rows.ts';
import { channels, channelsApart, channelsText, rateApart, rateText, recordersOn } from './sound.ts';

/** What the rows of a group are made from. */
interface Canvas {
  readonly board: RuleBoard;
  readonly marks: Marks;
  /** The setups of the group in story order; a setup's place among them is its column. */
  readonly setups: readonly string[];
  readonly reference: string;
  facts(setup: string, camera: string): PictureFacts;
}

/** The lines of one group. Reads nothing of any other group, so that with live parts a change redraws its own. */
export function groupModel(board: RuleBoard, marks: Marks, name: string): MatchGroupModel {
  const setups = membersOf(board, name).map(({ id }) => id);
  const reference = board.referenceOf(name) ?? '';
  const canvas: Canvas = {
    board,
    marks,
    setups,
    reference,
    facts: remember((setup, camera) => pictureFacts(board, setup, camera)),
  };
  return {
    name,
    reference,
    columns: setups.map((setup) => columnOf(board, reference, setup)),
    rows: [...PICTURE_ROWS.map((row) => pictureRow(canvas, row)), soundRow(canvas)],
  };
}

/** Works an answer out once for each setup and source. */
function remember<T extends object>(work: (setup: string, source: string) => T): typeof work {
  const known = new Map<string, T>();
  return (setup, source) => {
    const key = `${setup}.${source}`;
    const answer = known.get(key) ?? work(setup, source);
    known.set(key, answer);
    return answer;
  };
}

function columnOf({ reader }: RuleBoard, reference: string, setup: string): MatchColumn {
  const scene = reader.value('setups', setup, 'scene');
  return {
    setup,
    label: reader.value('setups', setup, 'label') ?? setup,
    scene: scene === undefined ? null : (reader.value('scenes', scene, 'number') ?? scene),
    isReference: reference === setup,
    state: reader.value('setups', setup, 'state') ?? 'planned',
  };
}

/** How a kind of source is drawn: what a point of it says, and what holds for it as a whole. */
interface Drawn {
  readonly kind: MatchLine['source']['kind'];
  sourcesOf(setup: string): readonly string[];
  nameOf(source: string): string;
  pointOf(setup: string, source: string): Pick<MatchPoint, 'value' | 'text' | 'mark'>;
  markOf(source: string): MatchLine['mark'];
}

/** A line for each source that any setup of the group has, with a point for each setup that has it. */
function linesOf({ setups }: Canvas, drawn: Drawn): MatchLine[] {
  const bySetup = setups.map((setup) => new Set(drawn.sourcesOf(setup)));
  const sources = [...new Set(bySetup.flatMap((of) => [...of]))].sort();
  return sources.map((source) => {
    const points = setups.flatMap((setup, column): MatchPoint[] =>
      bySetup[column]?.has(source) ? [{ column, setup, ...drawn.pointOf(setup, source) }] : [],
    );
    const mark = drawn.markOf(source);
    const [first, ...rest] = points;
    return {
      source: { kind: drawn.kind, id: source, name: drawn.nameOf(source) },
      points: first && mark ? [{ ...first, mark: bothMarks(mark, first.mark) }, ...rest] : points,
      mark,
    };
  });
}

function rowOf(row: MatchRow, lines: readonly MatchLine[]): MatchGroupRow {
  let reach = 0;
  for (const { points } of lines) {
    for (const { value } of points) if (value !== null) reach = Math.max(reach, Math.abs(value));
  }
  return { row, lines, reach };
}

function cameraLines(canvas: Canvas, row: MatchRow, drawn: Pick<PictureRow, 'value' | 'text'>): MatchLine[] {
  const { board, marks, facts, reference } = canvas;
  return linesOf(canvas, {
    kind: 'camera',
    sourcesOf: (setup) => camerasOf(board, setup),
    nameOf: (camera) => board.reader.value('cameras', camera, 'name') ?? `Camera ${camera}`,
    pointOf: (setup, camera) => ({
      value: drawn.value(facts(setup, camera), facts(reference, camera)),
      text: drawn.text(facts(setup, camera)),
      mark: marks.at(row, setup, camera),
    }),
    markOf: () => null,
  });
}

function pictureRow(canvas: Canvas, declared: PictureRow): MatchGroupRow {
  return rowOf(declared.row, cameraLines(canvas, declared.row, declared));
}

function soundRow(canvas: Canvas): MatchGroupRow {
  const { board, marks, reference } = canvas;
  const carried = remember((setup, recorder) => channels(board, setup, recorder));
  const recorders = linesOf(canvas, {
    kind: 'recorder',
    sourcesOf: (setup) => recordersOn(board, setup),
    nameOf: (recorder) => board.reader.value('recorders', recorder, 'name') ?? recorder,
    pointOf: (setup, recorder) => ({
      value: channelsApart(carried(setup, recorder), carried(reference, recorder)),
      text: channelsText(carried(setup, recorder)),
      mark: marks.at('sound', setup, recorder),
    }),
    markOf: (recorder) => marks.on('sound', recorder),
  });
  const cameras = cameraLines(canvas, 'sound', {
    value: (own, theirs) => rateApart(own.picture.sampleRateHz, theirs.picture.sampleRateHz),
    text: ({ picture }) => rateText(picture.sampleRateHz),
  });
  return rowOf('sound', [...recorders, ...cameras]);
}
