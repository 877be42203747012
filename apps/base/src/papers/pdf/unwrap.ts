import { inflateSync } from 'node:zlib';

const HEADER_BYTES = 44;
const ENTRY_BYTES = 20;

/**
 * A font file out of its wrapping for the web, as it was before. The PDF library could read it wrapped, but unpacks it
 * anew for every document, and much slower than the machine can.
 *
 * @param woff a file of WOFF 1.0
 * @source W3C, WOFF File Format 1.0, 3 to 5; OpenType 1.9, the table directory
 * @throws Error where it is none
 */
export function unwrapped(woff: Buffer): Buffer {
  if (woff.toString('latin1', 0, 4) !== 'wOFF') throw new Error('This is no WOFF file.');
  const count = woff.readUInt16BE(12);
  const tables = Array.from({ length: count }, (_, index) => {
    const at = HEADER_BYTES + index * ENTRY_BYTES;
    const offset = woff.readUInt32BE(at + 4);
    const packed = woff.readUInt32BE(at + 8);
    const length = woff.readUInt32BE(at + 12);
    const bytes = woff.subarray(offset, offset + packed);
    return {
      tag: woff.subarray(at, at + 4),
      sum: woff.subarray(at + 16, at + 20),
      bytes: packed < length ? inflateSync(bytes) : bytes,
    };
  });
  const largest = Math.floor(Math.log2(Math.max(1, count)));
  const header = Buffer.alloc(12);
  woff.copy(header, 0, 4, 8);
  header.writeUInt16BE(count, 4);
  header.writeUInt16BE(16 * 2 ** largest, 6);
  header.writeUInt16BE(largest, 8);
  header.writeUInt16BE(16 * (count - 2 ** largest), 10);
  let end = 12 + 16 * count;
  const pieces = tables.map(({ tag, sum, bytes }) => {
    const place = Buffer.alloc(8);
    place.writeUInt32BE(end, 0);
    place.writeUInt32BE(bytes.length, 4);
    const padding = Buffer.alloc((4 - (bytes.length % 4)) % 4);
    end += bytes.length + padding.length;
    return { entry: Buffer.concat([tag, sum, place]), body: Buffer.concat([bytes, padding]) };
  });
  return Buffer.concat([header, ...pieces.map(({ entry }) => entry), ...pieces.map(({ body }) => body)]);
}
