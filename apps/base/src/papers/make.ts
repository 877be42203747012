import { type BoardState, readerOf, watchDocument } from '@plumbline/replica';
import { type ShootReader, tables } from '@plumbline/shared';
import { planCalendar, recordedSums, remarksVtt, takesOtio } from '@plumbline/shared/handover';
import { isPaperKind, makePaper, paperCsv, paperJson, paperNumber } from '@plumbline/shared/papers';
import { contentsOf, documentOf, openingUpdate } from '../backup/replay.ts';
import { paperPdf } from './pdf/render.ts';
import { type MadeFile, NoSuchPaper, type PaperAsk, type StandingBoard } from './request.ts';

const PAPER_FORMS: ReadonlySet<string> = new Set(['pdf', 'csv', 'json']);
const PDF = 'application/pdf';
const CSV = 'text/csv; charset=utf-8; header=present';
const JSON_TEXT = 'application/json; charset=utf-8';

/** Reads a board as it stood: epoch by epoch, as it was written. */
export function stateOf({ spans }: StandingBoard): BoardState {
  const doc = spans.reduce(
    (before, { client, updates }, index) =>
      index === 0
        ? documentOf(...updates)
        : documentOf(openingUpdate(contentsOf(before), client), ...updates),
    documentOf(),
  );
  return watchDocument(doc, Object.keys(tables)).state;
}

/** Makes a paper or an open form of a board. @throws NoSuchPaper */
export async function makeFile(ask: PaperAsk, board: StandingBoard): Promise<MadeFile> {
  const reader = readerOf(tables, stateOf(board));
  const [name = '', form = ''] = ask.file.split('.');
  if (!PAPER_FORMS.has(form)) return openFile(reader, ask, board);
  if (!isPaperKind(name)) throw new NoSuchPaper('There is no such paper.');
  return paperFile(reader, ask, board, name, form);
}

async function paperFile(
  reader: ShootReader,
  ask: PaperAsk,
  { at, seq }: StandingBoard,
  kind: Parameters<typeof makePaper>[1],
  form: string,
): Promise<MadeFile> {
  const { day, scene, size } = ask;
  const options = { day, scene, at, seq };
  const paper = makePaper(reader, kind, options);
  const file = `${paperNumber(kind, options) ?? kind}.${form}`;
  switch (form) {
    case 'pdf':
      return { bytes: await paperPdf(paper, size), media: PDF, name: file };
    case 'csv':
      return textFile(paperCsv(paper), CSV, file);
    default:
      return textFile(paperJson(paper), JSON_TEXT, file);
  }
}

function openFile(
  reader: ShootReader,
  { file, board, take }: PaperAsk,
  { at, seq }: StandingBoard,
): MadeFile {
  switch (file) {
    case 'takes.otio':
      return textFile(takesOtio(reader), JSON_TEXT, `takes-${seq}.otio`);
    case 'plan.ics':
      return textFile(
        planCalendar(reader, { board, at, version: seq }),
        'text/calendar; charset=utf-8; method=PUBLISH',
        'plan.ics',
      );
    case 'remarks.vtt': {
      const remarks = take === undefined ? null : remarksVtt(reader, take);
      if (remarks === null)
        throw new NoSuchPaper('Remarks are about one take that was rolled and cut: ?take=1A.3');
      return textFile(remarks, 'text/vtt; charset=utf-8', `remarks-${take}.vtt`);
    }
    case 'files.md5':
    case 'files.sha256':
    case 'files.xxh64': {
      const kind = file.slice('files.'.length);
      const list = recordedSums(reader, kind);
      if (list === null)
        throw new NoSuchPaper(`No recorded file has a checksum of the kind ${kind} on the board.`);
      return textFile(list, 'text/plain; charset=utf-8', file);
    }
    default:
      throw new NoSuchPaper('There is no such paper.');
  }
}

function textFile(text: string, media: string, name: string): MadeFile {
  return { bytes: new TextEncoder().encode(text), media, name };
}
