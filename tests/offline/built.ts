import { join } from 'node:path';

/** The built tablet; another build can be named. */
export const TABLET_FOLDER =
  process.env.PLUMBLINE_TABLET ?? join(import.meta.dirname, '../../apps/tablet/dist');
