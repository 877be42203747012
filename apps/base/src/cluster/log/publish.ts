import { setTimeout as wait } from 'node:timers/promises';
import { JetStreamApiError, type StoredMsg } from '@nats-io/jetstream';
import { jserrors } from '@nats-io/jetstream/internal';
import type { Engine } from './engine.ts';
import { EngineAway, FateUnknown, LineMoved } from './errors.ts';
import { isWrongLast } from './meta.ts';

/** Where an entry goes. */
export interface Destination {
  readonly board: string;
  readonly stream: string;
  readonly subject: string;
  /** The last entry that whoever writes knows of. */
  readonly behind: number;
}

const AGAIN_MS = 50;

/**
 * Writes an entry behind another, or not at all. Where the engine's confirmation does not come, the same is sent again
 * under the same id, which the engine keeps once.
 *
 * @returns the engine's number of the entry
 * @throws LineMoved, EngineAway: nothing is stored. FateUnknown: it may be, now or later
 */
export async function publishBehind(
  engine: Engine,
  { board, stream, subject, behind }: Destination,
  bytes: Uint8Array,
  id: string,
): Promise<number> {
  const until = performance.now() + engine.callMs;
  let lost: unknown = null;
  for (;;) {
    const left = until - performance.now();
    if (left < 1 || !(await engine.connected(left))) {
      if (lost) throw new FateUnknown(board, lost);
      throw new EngineAway(`board ${board}`);
    }
    try {
      const ack = await engine.js.publish(subject, bytes, {
        msgID: id,
        timeout: Math.max(Math.min(left, engine.callMs / 2), 1),
        expect: { streamName: stream, lastSubjectSequence: behind },
      });
      // A server that has only heard of the first attempt calls the second a duplicate before either is stored.
      if (ack.duplicate && !(await standsAt(engine, stream, ack.seq, id)))
        throw new Error('called a duplicate of what is not there');
      // Some servers check the condition before the order of entries is settled, and let two through that meet.
      if (ack.seq === behind + 1) return ack.seq;
      const next = (await nextMessage(engine, stream, subject, behind))?.seq ?? null;
      if (next === ack.seq) return ack.seq;
      if (next !== null && next < ack.seq) throw new LineMoved(board);
      throw new Error('not there any more');
    } catch (error) {
      if (error instanceof LineMoved) throw error;
      if (isWrongLast(error)) {
        // The first attempt may be what stands there, or what came after it.
        if (lost) throw new FateUnknown(board, error);
        throw new LineMoved(board);
      }
      if (error instanceof JetStreamApiError) throw new FateUnknown(board, error);
      // No server took it: without a leader nobody listens.
      if (!(error instanceof jserrors.JetStreamNotEnabled)) lost = error;
    }
    await wait(AGAIN_MS);
  }
}

async function standsAt(engine: Engine, stream: string, seq: number, id: string): Promise<boolean> {
  if (seq === 0) return false;
  const message = await engine.jsm.streams.getMessage(stream, { seq });
  return message?.header?.get('Nats-Msg-Id') === id;
}

/** The first message of a subject behind one; `null` for none. */
export async function nextMessage(
  engine: Engine,
  stream: string,
  subject: string,
  behind: number,
): Promise<StoredMsg | null> {
  const query = { seq: behind + 1, next_by_subj: subject };
  return await engine.jsm.streams.getMessage(stream, query);
}
