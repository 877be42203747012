import { Outflow, SYNC_LIMITS } from '@plumbline/base';
import { syncFrame } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { call } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const KB = 1024;
const HOUR_MS = 3_600_000;
const frame = (name: number): Uint8Array => new Uint8Array([name]);

/** A socket whose network is a number, and an outflow over it. */
function outflowOver() {
  const sent: number[] = [];
  const asked: (number | 'presence' | 'too slow')[] = [];
  const answered: number[] = [];
  const flushes: (() => void)[] = [];
  const state = { buffered: 0, now: 0 };
  const outflow = new Outflow(
    {
      get buffered() {
        return state.buffered;
      },
      send: (bytes, flushed) => {
        sent.push(bytes[0] ?? -1);
        flushes.push(flushed);
      },
      close: () => {},
      terminate: () => {},
      ping: () => {},
    },
    SYNC_LIMITS,
    {
      catchUp: (from) => void asked.push(from),
      sayPresence: () => void asked.push('presence'),
      tooSlow: () => void asked.push('too slow'),
      now: () => state.now,
    },
  );
  /** The network takes what it was given, down to so much. */
  const drain = (to: number): void => {
    state.buffered = to;
    for (const flushed of flushes.splice(0)) flushed();
  };
  return { outflow, sent, asked, answered, state, drain };
}

describe('what waits for a slow reader is bounded', () => {
  it('a reader who has not asked for the document gets no updates', () => {
    const { outflow, sent } = outflowOver();
    outflow.update(frame(1), 0);
    outflow.difference([frame(2)]);
    outflow.update(frame(3), 10);
    expect(sent).toEqual([2, 3]);
  });

  it('presence is held back over 64 kB, and said in full under it', () => {
    const { outflow, sent, asked, state, drain } = outflowOver();
    outflow.difference([frame(1)]);
    state.buffered = 64 * KB + 1;
    outflow.presence(frame(2));
    outflow.update(frame(3), 0);
    drain(64 * KB + 1);
    expect([sent, asked]).toEqual([[1, 3], []]);
    outflow.update(frame(4), 1);
    drain(64 * KB);
    expect([sent, asked]).toEqual([[1, 3, 4], ['presence']]);
    outflow.presence(frame(5));
    expect(sent).toEqual([1, 3, 4, 5]);
  });

  it('the stream stops at 512 kB; under 32 kB one difference is asked for, from where it stopped', () => {
    const { outflow, sent, asked, state, drain } = outflowOver();
    outflow.difference([frame(1)]);
    state.buffered = 512 * KB;
    outflow.update(frame(2), 20);
    outflow.update(frame(3), 21);
    drain(32 * KB);
    expect([sent, asked]).toEqual([[1], []]);
    outflow.tick();
    expect(asked).toEqual([]);
    state.buffered = 32 * KB - 1;
    outflow.tick();
    outflow.tick();
    expect(asked).toEqual([20]);
    outflow.update(frame(4), 22);
    expect(sent).toEqual([1]);
    outflow.difference([frame(5)]);
    outflow.update(frame(6), 23);
    expect(sent).toEqual([1, 5, 6]);
  });

  it('an answer never overtakes the update that it speaks of', () => {
    const { outflow, sent, answered, state } = outflowOver();
    outflow.difference([frame(1)]);
    outflow.answer(frame(2), () => answered.push(2));
    state.buffered = 512 * KB;
    outflow.update(frame(3), 5);
    outflow.answer(frame(4), () => answered.push(4));
    outflow.answer(frame(5), () => answered.push(5));
    expect([sent, answered]).toEqual([[1, 2], [2]]);
    state.buffered = 0;
    outflow.tick();
    outflow.difference([frame(6)]);
    expect([sent, answered]).toEqual([
      [1, 2, 6, 4, 5],
      [2, 4, 5],
    ]);
  });

  it('a question asked while much waits is made up for later, from the least that was asked for', () => {
    const { outflow, sent, asked, state } = outflowOver();
    outflow.difference([frame(1)]);
    state.buffered = 600 * KB;
    expect(outflow.mayAnswer(30)).toBe(false);
    expect(outflow.mayAnswer(7)).toBe(false);
    expect(outflow.mayAnswer(50)).toBe(false);
    state.buffered = 0;
    outflow.tick();
    expect([sent, asked]).toEqual([[1], [7]]);
  });

  it('a reader that stands still for 15 s is closed, not before', () => {
    const { outflow, asked, state } = outflowOver();
    outflow.difference([frame(1)]);
    state.buffered = 512 * KB;
    outflow.update(frame(2), 1);
    state.now = 14_999;
    outflow.tick();
    expect(asked).toEqual([]);
    state.now = 15_000;
    outflow.tick();
    expect(asked).toEqual(['too slow']);
  });

  it('a large board is given the time it needs at 64 kB a second', () => {
    const { outflow, asked, state } = outflowOver();
    outflow.difference([new Uint8Array(10_000 * KB)]);
    state.buffered = 512 * KB + 6400 * KB;
    outflow.update(frame(2), 1);
    state.now = 114_999;
    outflow.tick();
    expect(asked).toEqual([]);
    state.now = 115_000;
    outflow.tick();
    expect(asked).toEqual(['too slow']);
  });

  it('over 8 MB waiting it is closed, a single larger difference apart', () => {
    const { outflow, sent, asked, state, drain } = outflowOver();
    outflow.difference([new Uint8Array([1, ...new Array(9).fill(0)])]);
    state.buffered = 8192 * KB + 10;
    outflow.answer(frame(2));
    expect([sent, asked]).toEqual([[1, 2], []]);
    state.buffered = 8192 * KB + 11;
    outflow.answer(frame(3));
    expect([sent, asked]).toEqual([[1, 2], ['too slow']]);
    drain(0);
    state.buffered = 8192 * KB + 1;
    outflow.answer(frame(4));
    expect(asked).toEqual(['too slow', 'too slow']);
  });
});

it('a reader that stops reading for a while has the same board in the end, by one difference', async () => {
  const { base, keeper, clerk } = await startUnit({
    syncLimits: {
      streamBuffered: 64 * KB,
      resumeBuffered: 8 * KB,
      framesBurst: 100_000,
      // while it does not read it answers no ping either, and on a slow machine that is long
      pingMs: HOUR_MS,
      stoppedMs: HOUR_MS,
    },
  });
  const slow = await openRaw(base, clerk);
  const QUESTION = syncFrame('stateVector', new Uint8Array([0]));
  slow.send(QUESTION);
  await until(() => slow.frames.some(([type]) => type === 0));
  slow.socket.pause();
  const writer = await openTablet(base, keeper, toyKind.definition);
  let rounds = 0;
  const buffered = async (): Promise<number> =>
    Number(
      /^plumbline_socket_buffered_bytes (\d+)$/m.exec(
        String((await call(base, 'GET', '/metrics')).body),
      )?.[1],
    );
  // Until the system's own buffers are full and the base holds as much as it may.
  let kept = 0;
  while (kept < 64 * KB) {
    for (let i = 0; i < 100; i++)
      writer.set('jars', `first.${1 + (i % 9)}`, 'remark', `${rounds}-${i} ${'x'.repeat(3500)}`);
    rounds++;
    await writer.settled();
    kept = await buffered();
  }
  for (let i = 0; i < 100; i++) writer.set('jars', 'first.1', 'remark', `${i} ${'y'.repeat(3500)}`);
  await writer.settled();
  expect(await buffered()).toBeLessThan(512 * KB);
  slow.socket.resume();
  const doc = new Y.Doc();
  let taken = 0;
  await until(() => {
    for (const bytes of slow.frames.slice(taken)) {
      taken++;
      // A sync frame: type, step, then one byte array whose length is a varint.
      if (bytes[0] !== 0) continue;
      let at = 2;
      while ((bytes[at] ?? 0) > 127) at++;
      Y.applyUpdate(doc, bytes.slice(at + 1));
    }
    return JSON.stringify(doc.getMap('jars').get('first.1/remark'))?.includes('99 yyy') ?? false;
  }, 'the last value');
  expect(doc.getMap('jars').toJSON()).toEqual(writer.replica.doc.getMap('jars').toJSON());
  expect(String((await call(base, 'GET', '/metrics')).body)).toMatch(
    /^plumbline_socket_resyncs_total [1-9]/m,
  );
  writer.close();
});
