import { fileURLToPath } from 'node:url';

const REPOSITORY = fileURLToPath(new URL('../../../../', import.meta.url));

/** The program as `npm start` runs it. */
export const CLI = `${REPOSITORY}apps/base/dist/cli.js`;

/** The built tablet; another build can be named. */
export const TABLET_FOLDER = process.env.PLUMBLINE_TABLET ?? `${REPOSITORY}apps/tablet/dist`;
