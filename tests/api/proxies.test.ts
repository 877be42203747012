import { describe, expect, it, onTestFinished } from 'vitest';
import { Proxies } from '../../apps/base/src/proxies.ts';
import { call, startTestBase } from '../support/base.ts';

describe('who is at the other end', () => {
  const proxies = new Proxies(['10.0.0.5', '10.1.0.0/16', 'fd00::/8']);
  const cases: readonly [string, string, string | undefined, string][] = [
    ['nobody stands between', '192.0.2.7', undefined, '192.0.2.7'],
    ['somebody who is no proxy names another', '192.0.2.7', '198.51.100.1', '192.0.2.7'],
    ['a proxy names its client', '10.0.0.5', '192.0.2.7', '192.0.2.7'],
    ['a proxy names its client, who had named another', '10.0.0.5', '198.51.100.1, 192.0.2.7', '192.0.2.7'],
    ['two proxies, one after another', '10.0.0.5', '192.0.2.7, 10.1.2.3', '192.0.2.7'],
    ['a proxy names nobody', '10.0.0.5', undefined, '10.0.0.5'],
    ['a proxy names no address', '10.0.0.5', 'unknown', '10.0.0.5'],
    ['a proxy is told to name this machine', '10.0.0.5', '127.0.0.1', '10.0.0.5'],
    ['as an address of IPv6', '::ffff:10.0.0.5', '2001:db8::1', '2001:db8::1'],
    ['a range of IPv6', 'fd00::12', '192.0.2.7', '192.0.2.7'],
  ];
  it.each(cases)('%s', (_, address, forwarded, client) => {
    expect(proxies.clientOf(address, forwarded)).toBe(client);
  });

  it('no proxy is believed where none is named', () => {
    expect(new Proxies([]).clientOf('127.0.0.1', '192.0.2.7')).toBe('127.0.0.1');
  });

  it.each(['10.0.0.0/33', '10.0.0/8', 'host', '', 'fd00::/129', '10.0.0.0/-1'])('%s is no range', (text) => {
    expect(() => new Proxies([text])).toThrow('neither an address nor a range');
  });
});

describe('behind a load balancer', () => {
  const attempts = async (proxies: readonly string[], clients: readonly string[]): Promise<number[]> => {
    const base = await startTestBase({ proxies, httpLimits: { joinsPerMinute: 1, joinsBurst: 2 } });
    onTestFinished(base.stop);
    const statuses: number[] = [];
    for (const client of clients) {
      const body = { invite: 'none', name: 'Nobody' };
      const { status } = await call(base, 'POST', '/api/join', {
        body,
        headers: { 'x-forwarded-for': client },
      });
      statuses.push(status);
    }
    return statuses;
  };
  const three = ['192.0.2.1', '192.0.2.1', '192.0.2.1', '192.0.2.2'];

  it('each client has an allowance of its own', async () => {
    expect(await attempts(['127.0.0.1'], three)).toEqual([403, 403, 429, 403]);
  });

  it('and where nobody is named as one, nobody gets another by saying who they are', async () => {
    expect(await attempts([], three)).toEqual([403, 403, 429, 429]);
  });
});
