import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import type { Plugin } from 'vite';

const PACKED = /\.(js|css|wasm)$/;
/** What is larger is packed a little less tightly: the last percent would take as long as all the rest. */
const LARGE_BYTES = 1024 * 1024;

const asBrotli = promisify<Buffer, { params: Record<number, number> }, Buffer>(brotliCompress);
const asGzip = promisify<Buffer, { level: number }, Buffer>(gzip);

/**
 * Lays beside each file the same in the forms that browsers take, as tight as they go, so that the base need not pack
 * it for everybody who asks. Brotli, RFC 7932, is a tenth smaller than gzip; browsers take it over TLS only.
 */
export function packed(): Plugin {
  let folder = '';
  return {
    name: 'packed',
    apply: 'build',
    configResolved: ({ root, build }) => {
      folder = join(root, build.outDir, build.assetsDir);
    },
    closeBundle: async () => {
      const names = (await readdir(folder)).filter((name) => PACKED.test(name));
      await Promise.all(
        names.map(async (name) => {
          const path = join(folder, name);
          const bytes = await readFile(path);
          const quality = bytes.length > LARGE_BYTES ? 9 : constants.BROTLI_MAX_QUALITY;
          await writeFile(
            `${path}.br`,
            await asBrotli(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: quality } }),
          );
          await writeFile(`${path}.gz`, await asGzip(bytes, { level: constants.Z_BEST_COMPRESSION }));
        }),
      );
    },
  };
}
