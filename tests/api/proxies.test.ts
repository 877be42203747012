import { describe, expect, it } from 'vitest';
import { Proxies } from '../../apps/base/src/proxies.ts';

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
