import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { readDocumentation } from './docs.ts';
import { withTables } from './tables.ts';

const folder = process.cwd();
const path = join(folder, 'README.md');
writeFileSync(path, withTables(readFileSync(path, 'utf8'), readDocumentation(join(folder, 'src'))));
console.log(`${path} is current`);
