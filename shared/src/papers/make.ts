import type { Finding } from '../rules/index.ts';
import { SHOOT, type ShootReader } from '../tables/index.ts';
import { cameraSections, cameraSheet } from './camera.ts';
import { cardsSections, cardsSheet } from './cards.ts';
import { clockOf } from './clock.ts';
import { contextOf, type PaperContext } from './context.ts';
import { continuitySections, continuitySheet } from './continuity.ts';
import { kitSections, kitSheet } from './kit.ts';
import {
  PAPERS,
  type PaperDocument,
  type PaperKind,
  type PaperOptions,
  type PaperSection,
  type PaperTable,
} from './model.ts';
import { progressSections, progressSheet } from './progress.ts';
import { scoutingSections, scoutingSheet } from './scouting.ts';
import { soundSections, soundSheet } from './sound.ts';
import { takesSections, takesSheet } from './takes.ts';

interface Maker {
  readonly sections: (context: PaperContext) => PaperSection[];
  readonly sheet: (context: PaperContext) => PaperTable;
}

const MAKERS: Readonly<Record<PaperKind, Maker>> = {
  camera: { sections: cameraSections, sheet: cameraSheet },
  sound: { sections: soundSections, sheet: soundSheet },
  continuity: { sections: continuitySections, sheet: continuitySheet },
  takes: { sections: takesSections, sheet: takesSheet },
  progress: { sections: progressSections, sheet: progressSheet },
  kit: { sections: kitSections, sheet: kitSheet },
  cards: { sections: cardsSections, sheet: cardsSheet },
  scouting: { sections: scoutingSections, sheet: scoutingSheet },
};

/** Whether a word names a paper. */
export function isPaperKind(word: string): word is PaperKind {
  return PAPERS.some(({ kind }) => kind === word);
}

/**
 * Makes a paper of a board. The same board gives the same paper: nothing in it depends on when, where or on what it is
 * made.
 *
 * @param findings what stands against the board, where that is known already; otherwise it is judged
 */
export function makePaper(
  reader: ShootReader,
  kind: PaperKind,
  options: PaperOptions,
  findings?: () => readonly Finding[],
): PaperDocument {
  const context = contextOf(reader, kind, options, findings);
  const { day, at, seq } = options;
  return {
    kind,
    title: PAPERS.find((paper) => paper.kind === kind)?.title ?? kind,
    number: paperNumber(kind, options),
    shoot: reader.value('shoot', SHOOT, 'title') ?? 'Untitled shoot',
    day: day ?? null,
    at,
    dated: `${context.clock.moment(at)} ${context.clock.zone}`,
    seq,
    sections: MAKERS[kind].sections(context).filter(hasSomething),
    sheet: MAKERS[kind].sheet(context),
  };
}

/** `camera-2027-05-14-1234`: kind, day, last row of the log; `null` where only the base knows the row. */
export function paperNumber(kind: PaperKind, { day, scene, seq }: Omit<PaperOptions, 'at'>): string | null {
  return seq === null ? null : [kind, day, scene, seq].filter((part) => part !== undefined).join('-');
}

function hasSomething({ groups, tables, notes, match }: PaperSection): boolean {
  return groups.length + tables.length + notes.length > 0 || match !== null;
}

/** The days that papers can be made for: those of the plan, and those on which something was shot. */
export function daysOfPapers(reader: ShootReader): string[] {
  const clock = clockOf(reader.value('shoot', SHOOT, 'timeZone'));
  const planned = reader.records('days').filter((day) => reader.value('days', day, 'retired') !== true);
  const shot = reader
    .records('takes')
    .flatMap((take) => reader.value('takes', take, 'rolledAt') ?? [])
    .map((at) => clock.date(at));
  return [...new Set([...planned, ...shot])].sort();
}
