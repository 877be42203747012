import * as decoding from 'lib0/decoding';
import * as encoding from 'lib0/encoding';
import * as z from 'zod/mini';
import { parseStrictJson } from './json.ts';
import { cellSchema } from './state.ts';

/** The version of the wire: raised when a message changes in a way that an older reader would misread. */
export const WIRE_VERSION = 1;

/**
 * The first number of every frame. 0 to 3 are those of the y-websocket protocol (y-protocols 1.x), so a stock client
 * can read along; the others are ours, and a stock client passes over them.
 */
export const FRAME = {
  sync: 0,
  awareness: 1,
  auth: 2,
  queryAwareness: 3,
  hello: 100,
  edit: 101,
  stored: 102,
  refused: 103,
  clock: 104,
} as const;

/** The second number of a sync frame. */
const SYNC_STEP = { stateVector: 0, difference: 1, update: 2 } as const;

const milliseconds = z.number();
const count = z.int().check(z.gte(0));

/** base to tablet, first: who you are here and how far the base has heard you. `writer` is null for a mere reader. */
export const helloSchema = z.object({
  wire: z.int(),
  schema: z.string(),
  epoch: z.string(),
  writer: z.nullable(z.string()),
  last: count,
  time: milliseconds,
  /** How large the board is, as an encoded document, bytes. */
  bytes: z.optional(count),
});

/** base to tablet: edit `n` is on disk; `late` names its entries that a newer value outran. */
export const storedSchema = z.object({
  n: count,
  late: z.optional(z.readonly(z.array(z.object({ entry: count, stands: cellSchema })))),
});

/** base to tablet: edit `n` was not taken, and why. */
export const refusedSchema = z.object({
  n: z.nullable(count),
  code: z.string(),
  last: z.optional(count),
  entries: z.readonly(
    z.array(z.object({ table: z.string(), record: z.string(), field: z.string(), reason: z.string() })),
  ),
});

/** The tablet asks with the time it sends; the base answers with when it received and when it sent. */
export const clockQuestionSchema = z.object({ t0: milliseconds });
export const clockAnswerSchema = z.object({ t0: milliseconds, t1: milliseconds, t2: milliseconds });

/** What a tablet says of where its person is, seen by all and never stored. `person` is set by the base. */
export const presenceSchema = z.strictObject({
  person: z.optional(z.string().check(z.maxLength(40))),
  screen: z.optional(z.string().check(z.maxLength(40))),
  record: z.optional(z.string().check(z.maxLength(200))),
  field: z.optional(z.string().check(z.maxLength(40))),
});

export type Hello = z.infer<typeof helloSchema>;
export type Stored = z.infer<typeof storedSchema>;
export type Refused = z.infer<typeof refusedSchema>;
export type ClockQuestion = z.infer<typeof clockQuestionSchema>;
export type ClockAnswer = z.infer<typeof clockAnswerSchema>;
export type Presence = z.infer<typeof presenceSchema>;

/** Why a socket is closed. The first three are final; `epoch` means start afresh; the rest may be tried again. */
export const CLOSE = {
  noSession: 4401,
  otherBoard: 4403,
  replaced: 4410,
  notUnderstood: 4400,
  notAnEdit: 4409,
  epoch: 4412,
  tooLarge: 4413,
  tooMuch: 4429,
  tooSlow: 4503,
  cannotStore: 1013,
} as const;

/** Closes after which the same session must not try again. */
export function isFinalClose(code: number): boolean {
  return code === CLOSE.noSession || code === CLOSE.otherBoard || code === CLOSE.replaced;
}

/** A frame taken apart. */
export type Frame =
  | { readonly type: 'sync'; readonly step: keyof typeof SYNC_STEP; readonly bytes: Uint8Array }
  | { readonly type: 'awareness'; readonly bytes: Uint8Array }
  | { readonly type: 'auth' }
  | { readonly type: 'queryAwareness' }
  | { readonly type: 'hello' | 'edit' | 'stored' | 'refused' | 'clock'; readonly text: string };

/** Takes a frame apart; `null` for what is none: an unknown number, too few bytes or too many. */
export function readFrame(bytes: Uint8Array): Frame | null {
  try {
    const decoder = decoding.createDecoder(bytes);
    const frame = readBody(decoder);
    return frame?.type === 'auth' || !decoding.hasContent(decoder) ? frame : null;
  } catch {
    // lib0 throws on a truncated number, string or byte array
    return null;
  }
}

function readBody(decoder: decoding.Decoder): Frame | null {
  switch (decoding.readVarUint(decoder)) {
    case FRAME.sync: {
      const step = readSyncStep(decoding.readVarUint(decoder));
      return step && { type: 'sync', step, bytes: decoding.readVarUint8Array(decoder) };
    }
    case FRAME.awareness:
      return { type: 'awareness', bytes: decoding.readVarUint8Array(decoder) };
    case FRAME.auth:
      return { type: 'auth' };
    case FRAME.queryAwareness:
      return { type: 'queryAwareness' };
    case FRAME.hello:
      return { type: 'hello', text: decoding.readVarString(decoder) };
    case FRAME.edit:
      return { type: 'edit', text: decoding.readVarString(decoder) };
    case FRAME.stored:
      return { type: 'stored', text: decoding.readVarString(decoder) };
    case FRAME.refused:
      return { type: 'refused', text: decoding.readVarString(decoder) };
    case FRAME.clock:
      return { type: 'clock', text: decoding.readVarString(decoder) };
    default:
      return null;
  }
}

function readSyncStep(step: number): keyof typeof SYNC_STEP | null {
  if (step === SYNC_STEP.stateVector) return 'stateVector';
  if (step === SYNC_STEP.difference) return 'difference';
  return step === SYNC_STEP.update ? 'update' : null;
}

/** A sync frame: a state vector to ask with, the difference that answers it, or an update. */
export function syncFrame(step: keyof typeof SYNC_STEP, bytes: Uint8Array): Uint8Array {
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, FRAME.sync);
    encoding.writeVarUint(encoder, SYNC_STEP[step]);
    encoding.writeVarUint8Array(encoder, bytes);
  });
}

/** An awareness frame around an encoded presence update. */
export function awarenessFrame(bytes: Uint8Array): Uint8Array {
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, FRAME.awareness);
    encoding.writeVarUint8Array(encoder, bytes);
  });
}

/** Asks for everybody's presence. */
export function queryAwarenessFrame(): Uint8Array {
  return encoding.encode((encoder) => encoding.writeVarUint(encoder, FRAME.queryAwareness));
}

/** The messages of our own, by name, in the direction that each travels. */
export interface Messages {
  readonly hello: Hello;
  readonly edit: unknown;
  readonly stored: Stored;
  readonly refused: Refused;
  readonly clock: ClockQuestion | ClockAnswer;
}

/** A frame that carries one of our own messages. */
export function messageFrame<M extends keyof Messages>(name: M, message: Messages[M]): Uint8Array {
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, FRAME[name]);
    encoding.writeVarString(encoder, JSON.stringify(message));
  });
}

/** Reads the text of a message by its schema; `null` for what does not fit. */
export function readMessage<T>(schema: z.ZodMiniType<T>, text: string): T | null {
  try {
    const parsed = z.safeParse(schema, parseStrictJson(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}
