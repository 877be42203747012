import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { rulesPage } from './page.ts';

const path = join(process.cwd(), 'RULES.md');
writeFileSync(path, rulesPage());
console.log(`${path} is current`);
