import * as decoding from 'lib0/decoding';
import * as encoding from 'lib0/encoding';
import { parseStrictJson } from './json.ts';

/** One client's presence as it travels in an awareness frame of y-protocols 1.x; `state` null when it has gone. */
export interface PresenceEntry {
  readonly client: number;
  /** Grows with every change; an entry with a smaller one is old news. */
  readonly clock: number;
  readonly state: unknown;
}

/** Readers of the protocol forget an entry that was not renewed for this long, ms. */
export const PRESENCE_TIMEOUT_MS = 30_000;

/** Writes presence entries as an awareness update. */
export function encodePresence(entries: readonly PresenceEntry[]): Uint8Array {
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, entries.length);
    for (const { client, clock, state } of entries) {
      encoding.writeVarUint(encoder, client);
      encoding.writeVarUint(encoder, clock);
      encoding.writeVarString(encoder, JSON.stringify(state));
    }
  });
}

/** Reads an awareness update; `null` where it is none or holds more than `most` entries. */
export function decodePresence(bytes: Uint8Array, most = 1000): PresenceEntry[] | null {
  try {
    const decoder = decoding.createDecoder(bytes);
    const length = decoding.readVarUint(decoder);
    if (length > most) return null;
    const entries: PresenceEntry[] = [];
    for (let i = 0; i < length; i++) {
      entries.push({
        client: decoding.readVarUint(decoder),
        clock: decoding.readVarUint(decoder),
        state: parseStrictJson(decoding.readVarString(decoder), 4),
      });
    }
    return decoding.hasContent(decoder) ? null : entries;
  } catch {
    return null;
  }
}
