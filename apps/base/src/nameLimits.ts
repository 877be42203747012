import { BlockList, isIP, isIPv4 } from 'node:net';

/** Names that are only spoken on a local network: RFC 6762 (local), RFC 6761 (localhost), RFC 8375 (home.arpa), ICANN 2024 (internal). */
const LOCAL_NAMES = ['local', 'localhost', 'home.arpa', 'internal', 'lan'];

/** Addresses that the internet does not lead to: RFC 1918, RFC 3927, RFC 1122, RFC 4193, RFC 4291. */
const LOCAL_RANGES = [
  ['10.0.0.0', 8],
  ['172.16.0.0', 12],
  ['192.168.0.0', 16],
  ['169.254.0.0', 16],
  ['127.0.0.0', 8],
  ['fc00::', 7],
  ['fe80::', 10],
  ['::1', 128],
] as const;

/** For what an authority's word counts. */
export interface NameLimits {
  /** A name and every name under it. */
  readonly names: readonly string[];
  readonly ranges: readonly (readonly [address: string, bits: number])[];
}

/** Those of a local network, and what it is made for beside. */
export function limitsFor(wanted: readonly string[]): NameLimits {
  const addresses = wanted.filter((name) => isIP(name) !== 0);
  const names = wanted.filter((name) => isIP(name) === 0);
  const local: NameLimits = { names: LOCAL_NAMES, ranges: LOCAL_RANGES };
  return {
    names: [...LOCAL_NAMES, ...names.filter((name) => !isWithin(local, name))],
    ranges: [
      ...LOCAL_RANGES,
      ...addresses
        .filter((address) => !isWithin(local, address))
        .map((address) => [address, isIPv4(address) ? 32 : 128] as const),
    ],
  };
}

function isWithin({ names, ranges }: NameLimits, name: string): boolean {
  if (isIP(name) === 0) return names.some((limit) => name === limit || name.endsWith(`.${limit}`));
  const list = new BlockList();
  for (const [address, bits] of ranges) list.addSubnet(address, bits, isIPv4(address) ? 'ipv4' : 'ipv6');
  return list.check(name, isIPv4(name) ? 'ipv4' : 'ipv6');
}

/** Whether limits, as {@link encodeLimits} wrote them, let a name or an address through. */
export function areWithin(encoded: Uint8Array, name: string): boolean {
  const own: NameLimits =
    isIP(name) === 0
      ? { names: name.split('.').map((_, at, parts) => parts.slice(at).join('.')), ranges: [] }
      : { names: [], ranges: [[name, isIPv4(name) ? 32 : 128]] };
  return (
    isWithin({ names: LOCAL_NAMES, ranges: LOCAL_RANGES }, name) ||
    subtreesOf(own).some((subtree) => Buffer.from(encoded).includes(subtree))
  );
}

/** The value of the extension NameConstraints, DER (RFC 5280, 4.2.1.10): everything else is not permitted. */
export function encodeLimits(limits: NameLimits): Uint8Array<ArrayBuffer> {
  return new Uint8Array(der(0x30, der(0xa0, Buffer.concat(subtreesOf(limits)))));
}

function subtreesOf({ names, ranges }: NameLimits): Buffer[] {
  return [
    ...names.map((name) => der(0x82, Buffer.from(name, 'ascii'))),
    ...ranges.map(([address, bits]) => der(0x87, range(address, bits))),
  ].map((base) => der(0x30, base));
}

function der(tag: number, content: Uint8Array): Buffer {
  const { length } = content;
  const size = length < 128 ? [length] : length < 256 ? [0x81, length] : [0x82, length >> 8, length & 255];
  return Buffer.concat([Uint8Array.from([tag, ...size]), content]);
}

/** An address and the mask of its range. */
function range(address: string, bits: number): Uint8Array {
  const bytes = isIPv4(address) ? address.split('.').map(Number) : bytesOfIPv6(address);
  const mask = bytes.map((_, at) => 255 & ~(255 >> Math.min(8, Math.max(0, bits - at * 8))));
  return Uint8Array.from([...bytes, ...mask]);
}

function bytesOfIPv6(address: string): number[] {
  const [head = '', tail] = address.split('::');
  const groups = (text: string): number[] =>
    text === '' ? [] : text.split(':').map((group) => Number.parseInt(group, 16));
  const before = groups(head);
  const after = groups(tail ?? '');
  const filled = [...before, ...new Array<number>(8 - before.length - after.length).fill(0), ...after];
  return filled.flatMap((group) => [group >> 8, group & 255]);
}
