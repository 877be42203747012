import { describe, expect, it } from 'vitest';
import { reachableAt } from '../../apps/base/src/lan.ts';
import { waysIn } from '../../apps/tablet/src/screens/unit/invitation.ts';

const address = (text: string, internal = false, family: 'IPv4' | 'IPv6' = 'IPv4') => ({
  address: text,
  netmask: '',
  mac: '',
  cidr: null,
  internal,
  ...(family === 'IPv4' ? { family } : { family, scopeid: 0 }),
});

// Addresses set aside for documentation (RFC 5737) and private networks (RFC 1918).
const INTERFACES = {
  lo: [address('127.0.0.1', true)],
  wired: [address('192.0.2.7'), address('fe80::1', false, 'IPv6')],
  wireless: [address('10.0.0.4')],
};

describe('where a second device reaches the base', () => {
  it('is every address of its machine where it listens everywhere, and none where it listens to itself', () => {
    expect(reachableAt('0.0.0.0', 4310, false, INTERFACES)).toEqual([
      'http://192.0.2.7:4310',
      'http://10.0.0.4:4310',
    ]);
    expect(reachableAt('::', 443, true, INTERFACES)).toEqual([
      'https://192.0.2.7:443',
      'https://10.0.0.4:443',
    ]);
    expect(reachableAt('127.0.0.1', 4310, false, INTERFACES)).toEqual([]);
    expect(reachableAt('localhost', 4310, false, INTERFACES)).toEqual([]);
    expect(reachableAt('10.0.0.4', 4310, false, INTERFACES)).toEqual(['http://10.0.0.4:4310']);
    expect(reachableAt('2001:db8::1', 4310, true, INTERFACES)).toEqual(['https://[2001:db8::1]:4310']);
  });

  it('is first the address that this page came from, unless that is the base’s own machine', () => {
    const known = ['http://192.0.2.7:4310', 'http://10.0.0.4:4310'];
    expect(waysIn(new URL('http://10.0.0.4:4310/board/b/unit'), known)).toEqual([
      'http://10.0.0.4:4310',
      'http://192.0.2.7:4310',
    ]);
    expect(waysIn(new URL('https://base.example/board/b/unit'), [])).toEqual(['https://base.example']);
    for (const own of ['http://localhost:4310', 'http://127.0.0.1:4310', 'http://[::1]:4310'])
      expect(waysIn(new URL(own), known)).toEqual(known);
    expect(waysIn(new URL('http://localhost:4310'), [])).toEqual([]);
  });
});
