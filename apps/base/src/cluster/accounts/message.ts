import * as z from 'zod';
import { AccountsFromNewer } from './errors.ts';

/** The form of what stands in the stream. A reader refuses a higher one, so what is added must not change old meanings. */
const VERSION = 1;

const bytes = z
  .strictObject({ base64: z.base64() })
  .transform(({ base64 }): Uint8Array => new Uint8Array(Buffer.from(base64, 'base64')));

const board = z.object({ id: z.string(), title: z.string(), createdAt: z.number() });
const epoch = z.object({ id: z.string(), client: z.int(), fromSeq: z.int() });
const invite = z.object({
  hash: bytes,
  board: z.string(),
  role: z.string(),
  person: z.string().nullable(),
  expiresAt: z.number(),
  once: z.boolean(),
});
const newcomer = z.object({
  name: z.string(),
  joinedAt: z.number(),
  isVisitor: z.boolean().optional(),
});
const value = z.union([z.string(), z.number(), z.null(), bytes]);
const row = z.record(z.string(), value);

const write = <M extends string, A extends z.ZodType>(method: M, args: A) =>
  z.object({ id: z.string(), method: z.literal(method), args });

/** Every write there is, with its arguments in order. */
const messageSchema = z.discriminatedUnion('method', [
  write('addBoard', z.tuple([board, epoch])),
  write('putInvite', z.tuple([invite])),
  write('removeInvite', z.tuple([z.string(), z.string()])),
  write('addInvite', z.tuple([invite])),
  write(
    'join',
    z.tuple([invite, newcomer, z.object({ id: z.string(), hash: bytes, expiresAt: z.number() })]),
  ),
  write('leave', z.tuple([z.string(), z.string(), z.number()])),
  write('renewSession', z.tuple([z.string(), z.number()])),
  write('endSession', z.tuple([z.string(), z.number()])),
  write(
    'writer',
    z.tuple([z.object({ id: z.string(), board: z.string(), person: z.string() }), z.string(), z.int()]),
  ),
  // Rows of a board that is being put back, set aside until `restored`.
  write('restoring', z.tuple([z.object({ id: z.string(), table: z.string(), rows: z.array(row) })])),
  // Puts back what was set aside, and begins the board's new epoch.
  write(
    'restored',
    z.tuple([
      z.object({ id: z.string(), board: z.string(), epoch, at: z.number(), endSessions: z.boolean() }),
    ]),
  ),
]);

export type AccountMessage = Readonly<z.output<typeof messageSchema>>;
export type Method = AccountMessage['method'];
export type ArgumentsOf<M extends Method> = Extract<AccountMessage, { method: M }>['args'];

const METHODS: ReadonlySet<string> = new Set(messageSchema.options.map(({ shape }) => shape.method.value));

const headSchema = z.object({ v: z.int(), id: z.string(), method: z.string() });
const versionSchema = z.object({ v: z.int() });

/** A write as it goes into the stream. */
export function encodeMessage<M extends Method>(id: string, method: M, args: ArgumentsOf<M>): Uint8Array {
  return new TextEncoder().encode(JSON.stringify({ v: VERSION, id, method, args: plain(args) }));
}

/** Bytes become text before JSON sees them: a Buffer would write itself as a list of numbers. */
function plain(value: unknown): unknown {
  if (value instanceof Uint8Array) return { base64: Buffer.from(value).toString('base64') };
  if (Array.isArray(value)) return value.map(plain);
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(Object.entries(value).map(([name, each]) => [name, plain(each)]));
}

/**
 * Reads a write. `null`: this is none, in any version.
 *
 * @throws AccountsFromNewer
 */
export function decodeMessage(data: Uint8Array): AccountMessage | null {
  const json = jsonOf(data);
  const version = versionSchema.safeParse(json);
  if (!version.success) return null;
  if (version.data.v > VERSION) throw new AccountsFromNewer(`entries of version ${version.data.v}`);
  const head = headSchema.safeParse(json);
  if (!head.success) return null;
  const { method } = head.data;
  if (!METHODS.has(method)) throw new AccountsFromNewer(`"${method.slice(0, 40)}"`);
  return messageSchema.safeParse(json).data ?? null;
}

function jsonOf(data: Uint8Array): unknown {
  try {
    return JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(data));
  } catch {
    return null;
  }
}
