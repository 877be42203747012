import type { BoardReader, Json, Tables } from '@plumbline/replica';
import type { BoardKind } from '../kind.ts';
import type { InSteps } from '../pause.ts';
import { JsonText } from './answers.ts';

/** `{ tables: { TABLE: { RECORD: { FIELD: value } } } }`; cleared fields are absent. */
export function* viewText(tables: Tables, board: BoardReader): InSteps<Uint8Array> {
  const text = new JsonText();
  let table = '{"tables":{';
  for (const name of Object.keys(tables)) {
    text.add(`${table}${JSON.stringify(name)}:{`);
    table = '},';
    let record = '';
    for (const id of board.records(name)) {
      const fields: Record<string, Json> = {};
      for (const [field, cell] of board.fields(name, id)) if (cell[0] !== null) fields[field] = cell[0];
      text.add(`${record}${JSON.stringify(id)}:${JSON.stringify(fields)}`);
      record = ',';
      yield;
    }
  }
  text.add(Object.keys(tables).length > 0 ? '}}}' : `${table}}}`);
  return text.bytes();
}

/** `{ findings: [ … ] }` */
export function* findingsText(kind: BoardKind, board: BoardReader): InSteps<Uint8Array> {
  const findings = yield* kind.findings(board);
  const text = new JsonText();
  let before = '{"findings":[';
  for (const finding of findings) {
    text.add(`${before}${JSON.stringify(finding)}`);
    before = ',';
    yield;
  }
  text.add(findings.length > 0 ? ']}' : `${before}]}`);
  return text.bytes();
}
