/** What a test photograph says of where it was taken. */
export interface TestPosition {
  readonly little: boolean;
  readonly latitude: readonly [degrees: number, minutes: number, seconds: number];
  readonly latitudeRef: 'N' | 'S';
  readonly longitude: readonly [degrees: number, minutes: number, seconds: number];
  readonly longitudeRef: 'E' | 'W';
  /** What the fractions are over; 100 where nothing is said. */
  readonly over?: number;
}

const LONG = 4;
const ASCII = 2;
const RATIONAL = 5;

/**
 * The beginning of a JPEG with a position in it: start of image, the Exif block as JEITA CP-3451 and TIFF 6.0 lay it
 * out, nothing else.
 */
export function jpegHead({
  little,
  latitude,
  latitudeRef,
  longitude,
  longitudeRef,
  over = 100,
}: TestPosition): Uint8Array {
  const tiff = new DataView(new ArrayBuffer(8 + 18 + 54 + 48));
  const gps = 26;
  const values = gps + 54;
  const entry = (at: number, tag: number, type: number, count: number): number => {
    tiff.setUint16(at, tag, little);
    tiff.setUint16(at + 2, type, little);
    tiff.setUint32(at + 4, count, little);
    return at + 8;
  };
  tiff.setUint16(0, little ? 0x4949 : 0x4d4d);
  tiff.setUint16(2, 42, little);
  tiff.setUint32(4, 8, little);
  tiff.setUint16(8, 1, little);
  tiff.setUint32(entry(10, 0x8825, LONG, 1), gps, little);
  tiff.setUint16(gps, 4, little);
  tiff.setUint8(entry(gps + 2, 1, ASCII, 2), latitudeRef.charCodeAt(0));
  tiff.setUint32(entry(gps + 14, 2, RATIONAL, 3), values, little);
  tiff.setUint8(entry(gps + 26, 3, ASCII, 2), longitudeRef.charCodeAt(0));
  tiff.setUint32(entry(gps + 38, 4, RATIONAL, 3), values + 24, little);
  for (const [index, part] of [...latitude, ...longitude].entries()) {
    tiff.setUint32(values + index * 8, Math.round(part * (over || 1)), little);
    tiff.setUint32(values + index * 8 + 4, over, little);
  }
  const block = [0x45, 0x78, 0x69, 0x66, 0, 0, ...new Uint8Array(tiff.buffer)];
  const length = block.length + 2;
  return new Uint8Array([0xff, 0xd8, 0xff, 0xe1, length >> 8, length & 0xff, ...block]);
}

/** A whole JPEG with a position put into it, right behind its start. */
export function withPosition(jpeg: Uint8Array, position: TestPosition): Uint8Array {
  return new Uint8Array([...jpegHead(position), ...jpeg.subarray(2)]);
}
