import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { newDocument } from '@plumbline/replica';
import * as Y from 'yjs';
import { z } from 'zod';
import { writeDays } from '../boards/documents.ts';

/** Writes the documents of shoots of so many days into a folder, encoded, and tells where they are. */
const { folder, client, days } = z
  .object({ folder: z.string(), client: z.int(), days: z.array(z.number()) })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const doc = newDocument(client);
let done = 0;
let written = 0;
const made = days.map((count) => {
  written += writeDays(doc, done, count);
  done = count;
  const bytes = Y.encodeStateAsUpdate(doc);
  const path = join(folder, `${count}-days.bin`);
  writeFileSync(path, bytes);
  return { days: count, path, bytes: bytes.length, written };
});
process.send?.(made);
process.disconnect();
