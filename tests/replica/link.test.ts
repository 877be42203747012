import {
  CLOSE,
  ClockOffset,
  Link,
  messageFrame,
  Replica,
  readFrame,
  type SocketEvents,
  WIRE_VERSION,
} from '@plumbline/replica';
import { beforeEach, describe, expect, it } from 'vitest';
import { MORNING, toy, type toyTables } from '../support/toy.ts';

interface Opened {
  readonly events: SocketEvents;
  readonly sent: Uint8Array[];
  closed: boolean;
}

/** A link over sockets and a clock in the test's hands. */
function harness(options: { epoch?: string | null; random?: number } = {}) {
  const sockets: Opened[] = [];
  const timers: { readonly milliseconds: number; readonly act: () => void; stopped: boolean }[] = [];
  const replica = new Replica({ definition: toy, now: () => MORNING, person: { id: 'p2', role: 'clerk' } });
  let epoch = options.epoch ?? null;
  const link: Link<typeof toyTables> = new Link({
    replica,
    clock: new ClockOffset(),
    epoch: () => epoch,
    onEpoch: (named) => {
      epoch = named;
    },
    ports: {
      open: (events) => {
        const opened: Opened = { events, sent: [], closed: false };
        sockets.push(opened);
        return {
          send: (bytes) => opened.sent.push(bytes),
          close: () => {
            opened.closed = true;
          },
        };
      },
      after: (milliseconds, act) => {
        const timer = {
          milliseconds,
          act: () => {
            timer.stopped = true;
            act();
          },
          stopped: false,
        };
        timers.push(timer);
        return () => {
          timer.stopped = true;
        };
      },
      now: () => MORNING,
      random: () => options.random ?? 0.5,
    },
  });
  link.connect();
  const last = (): Opened => {
    const opened = sockets.at(-1);
    if (!opened) throw new Error('no socket was opened');
    return opened;
  };
  const greet = (changes: { epoch?: string; wire?: number; writer?: string | null } = {}): void =>
    last().events.received(
      messageFrame('hello', {
        wire: WIRE_VERSION,
        schema: 's',
        epoch: 'e1',
        writer: 'p2-1',
        last: 0,
        time: MORNING,
        ...changes,
      }),
    );
  const running = () => timers.filter((timer) => !timer.stopped);
  return { link, replica, sockets, last, greet, running };
}

describe('a link', () => {
  let bench: ReturnType<typeof harness>;
  beforeEach(() => {
    bench = harness();
  });

  it('says nothing before it has been greeted, then asks for the difference first', () => {
    expect(bench.last().sent).toEqual([]);
    bench.greet();
    expect(bench.link.status.value).toEqual({ kind: 'live' });
    expect(bench.last().sent.map((bytes) => readFrame(bytes)?.type)).toEqual([
      'sync',
      'awareness',
      'queryAwareness',
      'clock',
    ]);
  });

  it.each([CLOSE.noSession, CLOSE.otherBoard, CLOSE.replaced])(
    'does not try again after the final close %i',
    (code) => {
      bench.greet();
      bench.last().events.closed(code);
      expect(bench.link.status.value).toEqual({ kind: 'ended', code });
      expect(bench.running()).toEqual([]);
    },
  );

  it('tries again after other closes with growing, random, bounded pauses', () => {
    const pauses = Array.from({ length: 8 }, () => {
      bench.last().events.closed(1006);
      const [timer] = bench.running();
      timer?.act();
      return timer?.milliseconds;
    });
    expect(pauses).toEqual([250, 500, 1000, 2000, 4000, 6000, 6000, 6000]);
  });

  it('starts with short pauses again once it has been greeted', () => {
    for (let i = 0; i < 5; i++) {
      bench.last().events.closed(1006);
      bench.running()[0]?.act();
    }
    bench.greet();
    bench.last().events.closed(1006);
    expect(bench.running()[0]?.milliseconds).toBe(250);
  });

  it('takes no notice of what an old socket still says', () => {
    bench.greet();
    const [old] = bench.sockets;
    bench.link.connect();
    bench.greet();
    old?.events.closed(CLOSE.noSession);
    expect(bench.link.status.value).toEqual({ kind: 'live' });
    expect(old?.closed).toBe(true);
  });

  it('gives up a socket that never greets, and one that has gone silent', () => {
    bench.running()[0]?.act();
    expect(bench.link.status.value.kind).toBe('waiting');
    bench.running()[0]?.act();
    bench.greet();
    // Four more questions of the burst, then two beats.
    for (let acts = 0; acts < 5; acts++) bench.running()[0]?.act();
    expect(bench.link.status.value.kind).toBe('live');
    bench.running()[0]?.act();
    expect(bench.link.status.value.kind).toBe('waiting');
  });

  it('does not give up a socket over which anything comes', () => {
    bench.greet();
    for (let acts = 0; acts < 20; acts++) {
      bench.running()[0]?.act();
      bench.last().events.received(messageFrame('clock', { t0: MORNING, t1: MORNING, t2: MORNING }));
    }
    expect(bench.link.status.value.kind).toBe('live');
  });

  it('compares clocks five times within two seconds of each greeting, then every ten seconds', () => {
    const questions = (): number =>
      bench.last().sent.filter((bytes) => readFrame(bytes)?.type === 'clock').length;
    for (let wakes = 0; wakes < 2; wakes++) {
      bench.link.connect();
      bench.greet();
      const pauses: number[] = [];
      for (let acts = 0; acts < 6; acts++) {
        expect(bench.running()).toHaveLength(1);
        const [timer] = bench.running();
        pauses.push(timer?.milliseconds ?? Number.NaN);
        timer?.act();
        bench.last().events.received(messageFrame('clock', { t0: MORNING, t1: MORNING, t2: MORNING }));
      }
      expect(pauses.slice(0, 4).reduce((sum, pause) => sum + pause, 0)).toBeLessThanOrEqual(2000);
      expect(pauses.slice(4)).toEqual([10_000, 10_000]);
      expect(questions()).toBe(7);
    }
  });

  it('believes the quickest exchange of a burst, whatever came before and after it', () => {
    // The base is 5 s ahead; each way takes so long, ms.
    const ways: readonly (readonly [there: number, back: number])[] = [
      [400, 20],
      [30, 900],
      [4, 6],
      [250, 250],
      [10, 300],
    ];
    bench.greet();
    for (const [index, [there, back]] of ways.entries()) {
      if (index > 0) bench.running()[0]?.act();
      const arrives = MORNING - back + 5000;
      bench
        .last()
        .events.received(messageFrame('clock', { t0: MORNING - back - there, t1: arrives, t2: arrives }));
    }
    expect(bench.link.clock.estimate()).toEqual({ offset: 4999, uncertainty: 5 });
  });

  it('stops at a board of another epoch and leaves its copy alone', () => {
    const other = harness({ epoch: 'e0' });
    other.greet();
    expect(other.link.status.value).toMatchObject({ kind: 'epoch', hello: { epoch: 'e1' } });
    expect(other.last().sent).toEqual([]);
    expect(other.running()).toEqual([]);
  });

  it('stops at another version of the wire', () => {
    bench.greet({ wire: WIRE_VERSION + 1 });
    expect(bench.link.status.value).toEqual({ kind: 'outdated' });
    expect(bench.running()).toEqual([]);
  });

  it('sends an edit at once while live, and with the next greeting otherwise', () => {
    bench.greet();
    const outcome = bench.replica.set([{ table: 'shelves', record: 's1', field: 'width', value: 3 }]);
    if (outcome.kind !== 'queued') throw new Error(outcome.kind);
    bench.link.send(outcome.edit);
    const edits = () => bench.last().sent.filter((bytes) => readFrame(bytes)?.type === 'edit').length;
    expect(edits()).toBe(1);
    bench.last().events.closed(1006);
    bench.running()[0]?.act();
    bench.link.send(outcome.edit);
    expect(edits()).toBe(0);
    bench.greet();
    expect(edits()).toBe(1);
  });

  it('keeps away after disconnect', () => {
    bench.greet();
    bench.link.disconnect();
    expect(bench.running()).toEqual([]);
    expect(bench.last().closed).toBe(true);
  });
});
