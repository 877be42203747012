import * as z from 'zod';

/** The oldest version of the engine's servers that is known to keep what a fleet needs it to keep. */
export const OLDEST_SERVER = '2.12.0';

/** Clocks that are further apart make people read times that are not so, ms. */
export const MOST_SKEW_MS = 1000;

/** No server is waited for longer, ms. */
const WITHIN_MS = 5000;

/** What is asked of the engine before a node joins in. */
export interface CheckOptions {
  /** Where the servers tell of themselves, `http://host:8222`. */
  readonly monitoring: readonly string[];
  /** How many servers are to keep everything. */
  readonly replicas: number;
  readonly fetch: (url: string, signal: AbortSignal) => Promise<Response>;
  /** ms since 1970. */
  readonly now: () => number;
}

/** What a server says of itself, at `/varz`. Only what is looked at. */
const varzSchema = z.object({
  server_id: z.string(),
  server_name: z.string(),
  version: z.string(),
  now: z.iso.datetime({ offset: true }).optional(),
  jetstream: z
    .object({
      config: z
        .object({ sync_always: z.boolean().optional(), sync_interval: z.number().optional() })
        .optional(),
      meta: z.object({ cluster_size: z.int() }).optional(),
    })
    .optional(),
});
type Varz = z.infer<typeof varzSchema>;

interface Heard {
  readonly address: string;
  readonly told: Varz;
  /** How far the server's clock is from ours at the least, ms; negative where it is behind. */
  readonly skewMs: number | null;
}

/**
 * Looks whether the engine keeps what it confirms, through the death of any one server and a cut of the power. Each
 * sentence names one thing that is not so and what to change; none: all is as it should be.
 */
export async function checkServers(options: CheckOptions): Promise<readonly string[]> {
  const { monitoring, replicas } = options;
  const sentences: string[] = [];
  if (replicas < 3) {
    sentences.push(
      'Each edit would be kept by one server only, and is gone with its disk: run three servers and set PLUMBLINE_CLUSTER_REPLICAS to 3.',
    );
  }
  if (monitoring.length === 0) {
    sentences.push(
      'Nobody can tell how the servers write to disk: set PLUMBLINE_CLUSTER_MONITORING to the monitoring address of each, such as http://nats-1:8222.',
    );
    return sentences;
  }
  const answers = await Promise.all(monitoring.map((address) => ask(address, options)));
  const heard: Heard[] = [];
  for (const answer of answers) {
    if (typeof answer === 'string') sentences.push(answer);
    else heard.push(answer);
  }
  for (const each of heard) sentences.push(...ofServer(each));
  sentences.push(...ofAll(heard, replicas));
  return sentences;
}

async function ask(address: string, { fetch, now }: CheckOptions): Promise<Heard | string> {
  const before = now();
  try {
    const response = await fetch(`${address.replace(/\/+$/, '')}/varz`, AbortSignal.timeout(WITHIN_MS));
    const told = varzSchema.safeParse(await response.json());
    if (!response.ok || !told.success) {
      return `What answers at ${address} is not the monitoring of a NATS server: correct PLUMBLINE_CLUSTER_MONITORING.`;
    }
    return { address, told: told.data, skewMs: skew(told.data, before, now()) };
  } catch (error) {
    const why = error instanceof Error ? error.message : '';
    return `The server at ${address} does not tell of itself (${why}): start it with http_port set, or correct PLUMBLINE_CLUSTER_MONITORING.`;
  }
}

/** The server looked at its clock at some moment between our question and its answer. */
function skew({ now }: Varz, before: number, after: number): number | null {
  if (now === undefined) return null;
  const theirs = Date.parse(now);
  if (theirs < before) return theirs - before;
  return theirs > after ? theirs - after : 0;
}

function ofServer({ address, told, skewMs }: Heard): string[] {
  const { server_name: name, version, jetstream } = told;
  const sentences: string[] = [];
  if (isOlder(version, OLDEST_SERVER)) {
    sentences.push(
      `The server ${name} at ${address} is version ${version}: update it to ${OLDEST_SERVER} or newer.`,
    );
  }
  if (!jetstream?.config) {
    sentences.push(
      `The server ${name} at ${address} keeps nothing: switch JetStream on in its configuration.`,
    );
  } else if (jetstream.config.sync_always !== true) {
    sentences.push(
      `The server ${name} at ${address} confirms what is not on its disk yet: set sync_interval to always in the jetstream part of its configuration.`,
    );
  }
  if (skewMs !== null && Math.abs(skewMs) > MOST_SKEW_MS) {
    const seconds = (Math.abs(skewMs) / 1000).toFixed(1);
    sentences.push(
      `The clock of ${name} at ${address} is ${seconds} s ${skewMs < 0 ? 'behind' : 'ahead of'} this machine’s: let both follow the same time servers.`,
    );
  }
  return sentences;
}

function ofAll(heard: readonly Heard[], replicas: number): string[] {
  if (heard.length === 0) return [];
  const different = new Set(heard.map(({ told }) => told.server_id)).size;
  const size = Math.max(...heard.map(({ told }) => told.jetstream?.meta?.cluster_size ?? 1));
  if (size < replicas) {
    return [
      `The servers are ${size}, and each edit is to be kept by ${replicas}: run ${replicas} servers as one cluster.`,
    ];
  }
  if (different < size) {
    return [
      `The monitoring of ${different} of the ${size} servers is named: name all of them in PLUMBLINE_CLUSTER_MONITORING.`,
    ];
  }
  return [];
}

/** Whether a version is older, `1.2.3` and whatever follows. One that is none counts as older. */
function isOlder(version: string, than: string): boolean {
  const numbers = (text: string): readonly number[] =>
    (/^(\d+)\.(\d+)\.(\d+)/.exec(text)?.slice(1) ?? ['0', '0', '0']).map(Number);
  const wanted = numbers(than);
  const difference = numbers(version)
    .map((number, index) => number - (wanted[index] ?? 0))
    .find((each) => each !== 0);
  return (difference ?? 0) < 0;
}
