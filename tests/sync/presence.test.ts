import { PresenceRoom } from '@plumbline/base';
import {
  awarenessFrame,
  decodePresence,
  encodePresence,
  type PresenceEntry,
  queryAwarenessFrame,
  readFrame,
} from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

function entriesOf(frames: readonly Uint8Array[]): PresenceEntry[] {
  return frames.flatMap((bytes) => {
    const frame = readFrame(bytes);
    return frame?.type === 'awareness' ? (decodePresence(frame.bytes) ?? []) : [];
  });
}

function room() {
  const later: (() => void)[] = [];
  const presences = new PresenceRoom((act) => later.push(act));
  const enter = (person: string) => {
    const frames: Uint8Array[] = [];
    const teller = { person, presence: (frame: Uint8Array) => void frames.push(frame) };
    presences.join(teller);
    return { teller, heard: () => entriesOf(frames.splice(0)) };
  };
  const flush = (): void => {
    for (const act of later.splice(0)) act();
  };
  return { presences, enter, flush, later };
}

describe('a presence speaks for its own socket alone', () => {
  it('in the name of its person, whatever it says', () => {
    const { presences, enter, flush } = room();
    const a = enter('p1');
    const b = enter('p2');
    presences.tell(a.teller, [{ client: 7, clock: 1, state: { person: 'p2', screen: 'day' } }]);
    flush();
    expect(b.heard()).toEqual([{ client: 7, clock: 1, state: { person: 'p1', screen: 'day' } }]);
  });

  it('under one client number, that nobody else holds', () => {
    const { presences, enter, flush } = room();
    const a = enter('p1');
    const b = enter('p2');
    presences.tell(a.teller, [{ client: 7, clock: 1, state: {} }]);
    presences.tell(b.teller, [{ client: 7, clock: 9, state: { screen: 'stolen' } }]);
    presences.tell(b.teller, [
      { client: 7, clock: 9, state: null },
      { client: 8, clock: 1, state: {} },
    ]);
    presences.tell(b.teller, [{ client: 9, clock: 1, state: { screen: 'a second' } }]);
    flush();
    expect(a.heard()).toEqual([
      { client: 7, clock: 1, state: { person: 'p1' } },
      { client: 8, clock: 1, state: { person: 'p2' } },
    ]);
  });

  it('by schema; old news and what does not fit is dropped, and the rest goes on', () => {
    const { presences, enter, flush } = room();
    const a = enter('p1');
    const b = enter('p2');
    const tell = (clock: number, state: unknown) => presences.tell(a.teller, [{ client: 7, clock, state }]);
    tell(1, { user: { name: 'x' } });
    tell(2, { screen: 'x'.repeat(41) });
    tell(3, 'text');
    tell(4, { screen: 'match' });
    tell(4, { screen: 'again' });
    tell(3, { screen: 'old' });
    flush();
    expect(b.heard()).toEqual([{ client: 7, clock: 4, state: { person: 'p1', screen: 'match' } }]);
  });

  it('that it takes back itself is gone for all, for those too who come later', () => {
    const { presences, enter, flush } = room();
    const a = enter('p1');
    const b = enter('p2');
    presences.tell(a.teller, [{ client: 7, clock: 1, state: null }]);
    presences.tell(a.teller, [{ client: 7, clock: 2, state: {} }]);
    flush();
    presences.tell(a.teller, [{ client: 7, clock: 3, state: null }]);
    flush();
    expect(b.heard()).toEqual([
      { client: 7, clock: 2, state: { person: 'p1' } },
      { client: 7, clock: 3, state: null },
    ]);
    expect(enter('p3').heard()).toEqual([]);
    presences.leave(a.teller);
    expect(b.heard()).toEqual([]);
  });

  it('however often it speaks, the others hear the last of it once in a while', () => {
    const { presences, enter, flush, later } = room();
    const a = enter('p1');
    const b = enter('p2');
    for (let clock = 1; clock <= 500; clock++)
      presences.tell(a.teller, [{ client: 7, clock, state: { field: `${clock}` } }]);
    expect(later).toHaveLength(1);
    flush();
    expect(b.heard()).toEqual([{ client: 7, clock: 500, state: { person: 'p1', field: '500' } }]);
  });

  it('who comes in hears who is here; who goes is taken off, and may come back under the next clock', () => {
    const { presences, enter, flush } = room();
    const a = enter('p1');
    presences.tell(a.teller, [{ client: 7, clock: 3, state: {} }]);
    flush();
    const b = enter('p2');
    expect(b.heard()).toEqual([{ client: 7, clock: 3, state: { person: 'p1' } }]);
    presences.leave(a.teller);
    expect(b.heard()).toEqual([{ client: 7, clock: 3, state: null }]);
    const back = enter('p1');
    presences.tell(back.teller, [{ client: 7, clock: 4, state: {} }]);
    flush();
    expect(b.heard()).toEqual([{ client: 7, clock: 4, state: { person: 'p1' } }]);
    presences.leave(back.teller);
    presences.leave(b.teller);
    expect(presences.isEmpty).toBe(true);
  });
});

describe('over sockets', () => {
  it('everybody sees who is where, and that somebody has gone without a word', async () => {
    const { base, keeper, clerk } = await startUnit();
    const a = await openTablet(base, keeper, toyKind.definition);
    const b = await openTablet(base, clerk, toyKind.definition);
    a.link.setPresence({ screen: 'setup', record: 's1' });
    const seen = () => [...b.link.present.peek().values()].find(({ person }) => person === keeper.personId);
    await until(() => seen()?.screen === 'setup', 'the presence');
    expect(seen()).toEqual({ person: keeper.personId, screen: 'setup', record: 's1' });
    a.link.disconnect();
    await until(() => seen() === undefined, 'the end of the presence');
    b.close();
  });

  it('whoever asks is told, and another’s name is not taken on', async () => {
    const { base, keeper, guest } = await startUnit();
    const liar = await openRaw(base, guest, 'a');
    liar.send(
      awarenessFrame(
        encodePresence([{ client: 5, clock: 1, state: { person: keeper.personId, screen: 'x' } }]),
      ),
    );
    await until(() => entriesOf(liar.frames).length > 0);
    const asker = await openRaw(base, keeper);
    await until(() => entriesOf(asker.frames).length === 1);
    asker.send(queryAwarenessFrame());
    await until(() => entriesOf(asker.frames).length === 2);
    for (const { state } of entriesOf(asker.frames))
      expect(state).toEqual({ person: guest.personId, screen: 'x' });
  });
});
