import { nameKey } from './model.ts';

/** Codings that are known by several names; each row is one coding. ITU-T, ISO/IEC and SMPTE names, and the trade’s. */
const FAMILIES: readonly (readonly string[])[] = [
  ['H.264', 'AVC', 'MPEG-4 AVC', 'MPEG-4 Part 10', 'x264'],
  ['H.265', 'HEVC', 'x265'],
  ['MPEG-2'],
  ['MPEG-1'],
  ['MPEG-4 Part 2'],
  ['Motion JPEG', 'MJPEG', 'JPEG'],
  ['JPEG 2000', 'J2K'],
  ['VC-3', 'DNxHD', 'DNxHR'],
  ['VC-5'],
  ['FFV1'],
  ['AV1'],
  ['VP9'],
  ['DV', 'DVCPRO'],
  ['ProRes 422 Proxy'],
  ['ProRes 422 LT'],
  ['ProRes 422 HQ'],
  ['ProRes 422'],
  ['ProRes 4444 XQ'],
  ['ProRes 4444'],
  ['ProRes RAW'],
  ['ProRes'],
];

/** Longest names first: `ProRes 422 HQ` is not `ProRes 422`. */
const BY_LENGTH = FAMILIES.flatMap((names) =>
  names.map((name) => ({ key: nameKey(name), family: names[0] ?? name })),
).toSorted((a, b) => b.key.length - a.key.length);

/** The coding that words name, among others; `null` where they name none: `intra-frame` does not say which. */
export function codingIn(words: string): string | null {
  const key = nameKey(words);
  return BY_LENGTH.find((each) => key.includes(each.key))?.family ?? null;
}

/** Whether two names are of the same coding; `null` where that cannot be told. `ProRes` alone leaves the kind open. */
export function sameCoding(a: string, b: string): boolean | null {
  const [one, other] = [codingIn(a), codingIn(b)];
  if (one === null || other === null) return null;
  if (one === other) return true;
  const isOpen = (name: string, against: string) => name === 'ProRes' && against.startsWith('ProRes');
  return isOpen(one, other) || isOpen(other, one);
}
