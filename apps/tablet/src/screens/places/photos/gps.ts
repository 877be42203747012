/** Where a photograph says that it was taken. */
export interface TakenPosition {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

const APP1 = 0xe1;
const START_OF_SCAN = 0xda;
const GPS_POINTER = 0x8825;
const RATIONAL = 5;
const ASCII = 2;
const MOST_ENTRIES = 500;

/**
 * Reads the position out of a JPEG's Exif block, and nothing else of it; `null` where there is none or it cannot be
 * read. JEITA CP-3451 (Exif) and TIFF 6.0: reference letters in tags 1 and 3, degrees, minutes and seconds as three
 * fractions in tags 2 and 4 of the GPS directory.
 */
export function positionIn(bytes: Uint8Array): TakenPosition | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    const tiff = tiffIn(view);
    return tiff && positionOf(tiff);
  } catch (error) {
    // a file that points beyond its own end
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** The TIFF part of a JPEG's Exif block. */
function tiffIn(view: DataView): DataView | null {
  if (view.byteLength < 4 || view.getUint16(0) !== 0xffd8) return null;
  let at = 2;
  while (at + 4 <= view.byteLength && view.getUint8(at) === 0xff) {
    const marker = view.getUint8(at + 1);
    const length = view.getUint16(at + 2);
    if (marker === START_OF_SCAN || length < 2) return null;
    const isExif = marker === APP1 && view.getUint32(at + 4) === 0x45786966 && view.getUint16(at + 8) === 0;
    if (isExif) return new DataView(view.buffer, view.byteOffset + at + 10, length - 8);
    at += 2 + length;
  }
  return null;
}

interface Entry {
  readonly tag: number;
  readonly type: number;
  readonly count: number;
  /** Where its value, or the place of its value, stands. */
  readonly at: number;
}

function positionOf(tiff: DataView): TakenPosition | null {
  const order = tiff.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return null;
  const little = order === 0x4949;
  if (tiff.getUint16(2, little) !== 42) return null;
  const pointer = entriesAt(tiff, tiff.getUint32(4, little), little).find(({ tag }) => tag === GPS_POINTER);
  if (!pointer) return null;
  const entries = entriesAt(tiff, tiff.getUint32(pointer.at, little), little);
  const angle = (refTag: number, valueTag: number, negative: string): number | null => {
    const ref = entries.find(({ tag, type }) => tag === refTag && type === ASCII);
    const value = entries.find(
      ({ tag, type, count }) => tag === valueTag && type === RATIONAL && count === 3,
    );
    if (!ref || !value) return null;
    const from = tiff.getUint32(value.at, little);
    const [degrees = 0, minutes = 0, seconds = 0] = [0, 8, 16].map(
      (offset) => tiff.getUint32(from + offset, little) / tiff.getUint32(from + offset + 4, little),
    );
    const size = degrees + minutes / 60 + seconds / 3600;
    return String.fromCharCode(tiff.getUint8(ref.at)) === negative ? -size : size;
  };
  const latitude = angle(1, 2, 'S');
  const longitude = angle(3, 4, 'W');
  if (latitude === null || longitude === null) return null;
  if (!(Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180)) return null;
  return { latitudeDeg: Number(latitude.toFixed(5)), longitudeDeg: Number(longitude.toFixed(5)) };
}

function entriesAt(tiff: DataView, at: number, little: boolean): Entry[] {
  const count = Math.min(tiff.getUint16(at, little), MOST_ENTRIES);
  return Array.from({ length: count }, (_, index): Entry => {
    const entry = at + 2 + index * 12;
    return {
      tag: tiff.getUint16(entry, little),
      type: tiff.getUint16(entry + 2, little),
      count: tiff.getUint32(entry + 4, little),
      at: entry + 8,
    };
  });
}
