import { Engine, EngineBus, NobodyAnswers } from '@plumbline/base';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { until } from '../../support/clients.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';

const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString();

describe.skipIf(NATS_SERVER === null)(`plain messages between nodes${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  async function busOf(
    node: string,
  ): Promise<{ bus: EngineBus; engine: Engine; troubles: unknown[]; states: string[] }> {
    const states: string[] = [];
    const engine = await Engine.open({
      servers: nats.urls,
      name: node,
      reports: { lost: () => states.push('lost'), back: () => states.push('back') },
    });
    onTestFinished(() => engine.close());
    const troubles: unknown[] = [];
    return { bus: new EngineBus(engine, node, (error) => troubles.push(error)), engine, troubles, states };
  }

  it('arrive in order, at whoever listens, and are answered', async () => {
    const [one, two] = [await busOf('n1'), await busOf('n2')];
    const heard: string[] = [];
    const stop = two.bus.subscribe('t.node.*.told', ({ subject, bytes }) =>
      heard.push(`${subject} ${text(bytes)}`),
    );
    two.bus.subscribe('t.ask', ({ bytes, respond }) => respond(Buffer.from(`${text(bytes)}!`)));
    await two.engine.connection.flush();
    for (const n of [1, 2, 3]) one.bus.publish('t.node.n2.told', Buffer.from(String(n)));
    expect(text(await one.bus.request('t.ask', Buffer.from('so'), 5000))).toBe('so!');
    await until(() => heard.length === 3, 'the messages');
    expect(heard).toEqual(['t.node.n2.told 1', 't.node.n2.told 2', 't.node.n2.told 3']);
    stop();
    one.bus.publish('t.node.n2.told', Buffer.from('4'));
    await one.bus.request('t.ask', Buffer.from('so'), 5000);
    expect(heard).toHaveLength(3);
  });

  it('where nobody listens that is said at once; where nobody answers, after the time', async () => {
    const { bus, engine } = await busOf('n1');
    const begun = performance.now();
    const refused: unknown = await bus
      .request('t.nobody', Buffer.from(''), 60_000)
      .catch((error: unknown) => error);
    expect(refused).toBeInstanceOf(NobodyAnswers);
    expect(refused).toMatchObject({ why: 'nobody' });
    expect(performance.now() - begun).toBeLessThan(60_000);
    bus.subscribe('t.silent', () => {});
    await engine.connection.flush();
    await expect(bus.request('t.silent', Buffer.from(''), 100)).rejects.toMatchObject({ why: 'late' });
  });

  it('what a listener throws is told and does not end the listening', async () => {
    const { bus, troubles } = await busOf('n1');
    bus.subscribe('t.thrower', ({ respond }) => {
      respond(Buffer.from('heard'));
      throw new Error('broken');
    });
    for (let n = 0; n < 2; n++) await bus.request('t.thrower', Buffer.from(''), 5000);
    expect(troubles).toHaveLength(2);
  });

  it('a connection that breaks is told of, comes back by itself, and listeners go on', async () => {
    const { bus, states } = await busOf('n1');
    let heard = 0;
    bus.subscribe('t.after', () => heard++);
    await nats.servers[0]?.restart();
    await until(() => states.includes('lost'), 'the loss');
    await nats.ready();
    await until(() => states.at(-1) === 'back', 'the connection');
    await until(() => {
      bus.publish('t.after', Buffer.from(''));
      return heard > 0;
    }, 'a message');
  });
});
