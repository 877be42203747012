import { bringsNothingNew, clientsOf } from '@plumbline/replica';
import * as Y from 'yjs';
import type { Core } from '../board/core.ts';

/** How much of the document a reader says it has. */
export type Question =
  | { readonly kind: 'has'; readonly clock: number }
  /** Nothing at all. */
  | { readonly kind: 'nothing' }
  | { readonly kind: 'otherEpoch' }
  | { readonly kind: 'unreadable' };

/** Reads a state vector. */
export function readQuestion(core: Core, earlierClients: ReadonlySet<number>, bytes: Uint8Array): Question {
  try {
    const vector = Y.decodeStateVector(bytes);
    for (const client of vector.keys()) if (earlierClients.has(client)) return { kind: 'otherEpoch' };
    const clock = vector.get(core.epoch.client) ?? 0;
    return clock > 0 ? { kind: 'has', clock } : { kind: 'nothing' };
  } catch {
    return { kind: 'unreadable' };
  }
}

/** What a sync message from a reader amounts to. Only the base writes, so `write` is not allowed. */
export type Brought = 'nothing' | 'write' | 'otherEpoch' | 'unreadable';

/** Judges an update or a difference that a reader sent. */
export function judgeBrought(core: Core, earlierClients: ReadonlySet<number>, update: Uint8Array): Brought {
  try {
    if (clientsOf(update).some((client) => earlierClients.has(client))) return 'otherEpoch';
    return bringsNothingNew(core.doc, update) ? 'nothing' : 'write';
  } catch {
    return 'unreadable';
  }
}
