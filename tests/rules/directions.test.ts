import { createRequire } from 'node:module';
import { type Json, valueProblem } from '@plumbline/replica';
import {
  apart,
  type ShootField,
  type ShootReader,
  type ShootTableName,
  sentence,
  tables,
} from '@plumbline/shared';
import { type Finding, ruleCatalogue } from '@plumbline/shared/rules';
import type { Bidi } from 'bidi-js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { SEED } from './edits.ts';
import type { Scene } from './scene.ts';
import { truthTables } from './truth/all.ts';
import { sceneOf } from './truth/table.ts';

/** The Unicode Bidirectional Algorithm as another library has it (bidi-js, MIT). */
const bidi: Bidi = createRequire(import.meta.url)('bidi-js')();

const RIGHT_TO_LEFT = /[\u0590-\u08ff]/;

/** A short name in Hebrew with figures before and after it: those change places with what stands beside them. */
function hebrew(words: string): string {
  const sum = Array.from(words.trim().toLowerCase()).reduce(
    (sum, sign) => (sum * 31 + (sign.codePointAt(0) ?? 0)) % 10_000,
    7,
  );
  return `7 טחנה, ${sum}`;
}

/** What is left without all that is set apart. */
function outside(text: string): string {
  const inner = text.replace(/\u2068[^\u2068\u2069]*\u2069/g, '·');
  return inner === text ? text : outside(inner);
}

/** What has only figures to say. */
const NAMELESS = ['timecode-drop-shoot'];

const NAMES: ReadonlySet<string> = new Set(['name', 'label', 'title']);

/** Words that somebody typed, or rows with names, in Hebrew; `undefined` where there is no word. */
function renamed({ control }: ShootField, value: Json | undefined): Json | undefined {
  if (control.kind === 'text' && typeof value === 'string') return hebrew(value);
  if (!Array.isArray(value)) return undefined;
  return value.map((row) =>
    row !== null && typeof row === 'object' && !Array.isArray(row) && typeof row.name === 'string'
      ? { ...row, name: hebrew(row.name) }
      : row,
  );
}

/** The scene with every word that somebody wrote in Hebrew: the same words the same. */
function inHebrew(scene: Scene): void {
  const reader: ShootReader = scene.reader;
  for (const [name, { fields }] of Object.entries(tables)) {
    const table = name as ShootTableName;
    for (const record of reader.records(table)) {
      const view: Readonly<Record<string, Json | undefined>> = { ...reader.view(table, record) };
      const values: Record<string, Json> = {};
      for (const [field, definition] of Object.entries(fields)) {
        // the name of a zone is looked up, not read
        if (field === 'timeZone') continue;
        const value = renamed(definition, view[field] ?? (NAMES.has(field) ? record : undefined));
        if (value !== undefined && valueProblem(definition, value) === null) values[field] = value;
      }
      if (Object.keys(values).length > 0) scene.set(table, record, values);
    }
  }
}

function sentencesOf({ message, measured, allowed, remedies }: Finding): string[] {
  return [
    message,
    measured.text,
    allowed.text,
    ...remedies.flatMap(({ label, sideEffects }) => [label, ...sideEffects.map(({ text }) => text)]),
  ];
}

describe('names from right to left', () => {
  test('are set apart in whatever a rule says of them', () => {
    const spoke = new Set<string>();
    for (const { id } of ruleCatalogue) {
      for (const { given } of truthTables[id]?.fires ?? []) {
        const scene = sceneOf(given);
        inHebrew(scene);
        for (const finding of scene.findings()) {
          for (const text of sentencesOf(finding)) {
            if (!RIGHT_TO_LEFT.test(text)) continue;
            spoke.add(finding.rule);
            expect(outside(text)).not.toMatch(RIGHT_TO_LEFT);
          }
        }
      }
    }
    expect(ruleCatalogue.map(({ id }) => id).filter((id) => !spoke.has(id))).toEqual(NAMELESS);
  });

  test(`stand where they were written, and so do the figures beside them, seed ${SEED}`, () => {
    const word = fc.constantFrom(
      '7 הטחנה הישנה, קומה 3',
      'ليلى 12 ب',
      '1A',
      'Mill',
      'נועה (2)',
      '12 נועה A',
      '3',
    );
    fc.assert(
      fc.property(word, word, fc.nat(99), (one, other, figure) => {
        const text = sentence`Setup ${one}: channel ${figure} (${other}) at ${figure} %, not ${sentence`${other} of ${one}`}.`;
        const levels = bidi.getEmbeddingLevels(text, 'ltr');
        const order = bidi.getReorderedIndices(text, levels);
        const placeOf = (index: number): number => order.indexOf(index);
        const parts = ['Setup', ': channel', ` ${figure} (`, `) at ${figure} %`, ', not '];
        const at = parts.map((part) => placeOf(text.indexOf(part)));
        expect(at).toEqual([...at].sort((a, b) => a - b));
        expect(outside(text)).not.toMatch(RIGHT_TO_LEFT);
      }),
      { seed: SEED },
    );
  });

  test('are set apart once, and other names not at all', () => {
    expect(apart(apart('נועה'))).toBe('\u2068נועה\u2069');
    expect(apart('Mill 2')).toBe('Mill 2');
    expect(sentence`${'Mill'} of ${3}`).toBe('Mill of 3');
  });
});
