import { createRequire } from 'node:module';
import type { Bidi } from 'bidi-js';

/** The package's types describe its module form; Node loads the other one, which is the factory itself. */
const bidiFactory: () => Bidi = createRequire(import.meta.url)('bidi-js');

/** The Unicode Bidirectional Algorithm. */
export const bidi = bidiFactory();
