import { fileURLToPath } from 'node:url';

const REPOSITORY = fileURLToPath(new URL('../../../../', import.meta.url));

/** The program as `npm start` runs it. */
export const CLI = `${REPOSITORY}apps/base/dist/cli.js`;

/** The built tablet. */
export const TABLET_FOLDER = `${REPOSITORY}apps/tablet/dist`;
