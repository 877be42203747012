import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';
import { rolldown } from 'rolldown';
import { SUBJECTS } from './subjects.ts';

const DIST = join(process.cwd(), 'dist');

/** Minified and gzipped bytes of what an importer of these modules gets, with or without the astronomy library. */
async function bundledBytes(source: string, external: readonly string[]): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), 'craft-'));
  try {
    const input = join(folder, 'entry.mjs');
    writeFileSync(input, source);
    const bundle = await rolldown({
      input,
      external: [...external],
      resolve: { modules: [join(process.cwd(), '..', '..', 'node_modules')] },
    });
    const { output } = await bundle.generate({ format: 'esm', minify: true });
    return gzipSync(output[0].code).length;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const everything = (modules: readonly string[]) =>
  modules
    .map(
      (module, index) =>
        `export * as part${index} from ${JSON.stringify(pathToFileURL(join(DIST, `${module}.js`)).pathname)};`,
    )
    .join('\n');
const one = (module: string, name: string) =>
  `export { ${name} } from ${JSON.stringify(pathToFileURL(join(DIST, `${module}.js`)).pathname)};`;

async function sizes(): Promise<void> {
  console.log('gzipped, minified, as a bundler leaves it');
  for (const { title, modules } of SUBJECTS) {
    const own = await bundledBytes(everything(modules), ['astronomy-engine']);
    const whole = await bundledBytes(everything(modules), []);
    console.log(
      `  ${title.padEnd(16)} ${kib(own)}${whole > own + 100 ? ` (${kib(whole)} with astronomy-engine)` : ''}`,
    );
  }
  console.log(
    `  ${'all'.padEnd(16)} ${kib(await bundledBytes(everything(['index']), ['astronomy-engine']))}`,
  );
  for (const [module, name] of [
    ['index', 'exposureOffsetStops'],
    ['index', 'depthOfField'],
    ['index', 'flicker'],
  ] as const) {
    console.log(`  only ${name}, from the whole: ${kib(await bundledBytes(one(module, name), []))}`);
  }
  const files = readdirSync(DIST).filter((file) => file.endsWith('.js'));
  const bytes = files.reduce((sum, file) => sum + readFileSync(join(DIST, file)).length, 0);
  console.log(`  unbundled: ${files.length} files, ${kib(bytes)} before compression`);
}

function kib(bytes: number): string {
  return `${(bytes / 1024).toFixed(1)} KiB`;
}

/** Nanoseconds for one call: the median of many rounds, each long enough for the clock. */
function nanoseconds(call: (index: number) => number): number {
  const rounds: number[] = [];
  let sink = 0;
  for (let round = 0; round < 31; round += 1) {
    const start = process.hrtime.bigint();
    for (let index = 0; index < 200_000; index += 1) {
      sink += call(index);
    }
    rounds.push(Number(process.hrtime.bigint() - start) / 200_000);
  }
  if (Number.isNaN(sink)) {
    throw new Error('a measured call gave no number');
  }
  return rounds.sort((a, b) => a - b)[15] ?? Number.NaN;
}

async function speeds(): Promise<void> {
  const craft: typeof import('../src/index.ts') = await import(pathToFileURL(join(DIST, 'index.js')).href);
  const rate = craft.FRAME_RATES['25'];
  const settings = { aperture: 4, exposureSeconds: 0.02, iso: 800, ndDensity: 0.6 };
  const lens = { focalLengthMm: 35, aperture: 4, circleOfConfusionMm: 0.02, focusDistanceMm: 2500 };
  const plan = { count: 24, bands: [{ fromMHz: 470, toMHz: 608 }], fifthMHz: 0.025 };
  const place = { latitude: 59.9, longitude: 10.7 };
  console.log('ns for one call, median');
  for (const [name, call] of [
    ['exposure offset', (i: number) => craft.exposureOffsetStops(100 + (i % 500), settings)],
    [
      'residual of flicker',
      (i: number) => craft.residualModulation({ mainsHz: 50, exposureSeconds: 0.005 + (i % 500) * 1e-5 }),
    ],
    [
      'flicker, all of it',
      (i: number) =>
        craft.flicker({ mainsHz: 50, exposureSeconds: 0.005 + (i % 500) * 1e-5, frameRate: rate }).residual,
    ],
    [
      'depth of field',
      (i: number) => craft.depthOfField({ ...lens, focusDistanceMm: 1000 + (i % 500) }).nearMm,
    ],
    [
      'label of a frame',
      (i: number) =>
        craft.timecodeFieldsFromFrames(i, { rate: craft.FRAME_RATES['29.97'], dropFrame: true }).frames,
    ],
  ] as const) {
    console.log(`  ${name.padEnd(20)} ${nanoseconds(call).toFixed(0)}`);
  }
  console.log('ms for one call, median of 31');
  for (const [name, call] of [
    ['24 carriers, 2-, 3-carrier and fifth order', (i: number) => craft.findCarriers({ ...plan, seed: i })],
    [
      '24 carriers where there is no room',
      (i: number) => craft.findCarriers({ ...plan, bands: [{ fromMHz: 470, toMHz: 500 }], seed: i }),
    ],
    [
      'sun of a day',
      (i: number) => craft.sunDay(place, 'Europe/Oslo', `2024-06-${String(1 + (i % 28)).padStart(2, '0')}`),
    ],
    [
      'colour temperature and Duv',
      (i: number) => craft.colourTemperatureOfXy({ x: 0.31 + (i % 10) / 1000, y: 0.33 }),
    ],
  ] as const) {
    const rounds = Array.from({ length: 31 }, (_, index) => {
      const start = process.hrtime.bigint();
      call(index);
      return Number(process.hrtime.bigint() - start) / 1e6;
    }).sort((a, b) => a - b);
    console.log(`  ${name.padEnd(44)} ${rounds[15]?.toFixed(2)} (worst ${rounds[30]?.toFixed(2)})`);
  }
}

await speeds();
await sizes();
