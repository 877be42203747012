import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex } from '@noble/hashes/utils.js';

/** A picture ready to be sent. */
export interface Prepared {
  readonly bytes: ArrayBuffer;
  readonly type: 'image/jpeg' | 'image/png';
  readonly hash: string;
  readonly widthPx: number;
  readonly heightPx: number;
}

/** Longest edge of a photograph as it is kept, px. */
export const PHOTO_EDGE = 2048;
/** Longest edge of the small one that lists show, px. */
export const THUMB_EDGE = 360;

/** Less than the base takes. */
const MOST_BYTES = 5_500_000;
const QUALITIES = [0.86, 0.75, 0.6, 0.4];

/** Something that cannot be read as a picture here. */
export class NotReadable extends Error {
  override readonly name = 'NotReadable';
}

/** SHA-256 in hexadecimal digits. On plain http browsers offer none of their own. */
export function hashOf(bytes: ArrayBuffer): string {
  return bytesToHex(sha256(new Uint8Array(bytes)));
}

/** Size with its longest edge at most `edge`, never enlarged. */
export function fitted(width: number, height: number, edge: number): { width: number; height: number } {
  const scale = Math.min(1, edge / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** Reads a file as a picture, turned as it was held. @throws NotReadable */
export async function readPicture(file: Blob): Promise<ImageBitmap> {
  try {
    return await createImageBitmap(file, { imageOrientation: 'from-image' });
  } catch {
    throw new NotReadable('This file is no picture that this device can read.');
  }
}

/**
 * Draws a picture anew as JPEG with its longest edge at most `edge`. What the file said beside the picture, position
 * and serial numbers included, stays behind. @throws NotReadable
 */
export async function drawnAnew(picture: ImageBitmap, edge: number): Promise<Prepared> {
  const { width, height } = fitted(picture.width, picture.height, edge);
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const context = canvas.getContext('2d');
  if (!context) throw new NotReadable('This device has no memory left for the picture.');
  // what is clear in the file would come out black
  context.fillStyle = '#fff';
  context.fillRect(0, 0, width, height);
  context.drawImage(picture, 0, 0, width, height);
  for (const quality of QUALITIES) {
    const prepared = await preparedOf(canvas, 'image/jpeg', quality);
    if (prepared.bytes.byteLength <= MOST_BYTES) return prepared;
  }
  throw new NotReadable('The picture is too large to be kept.');
}

/** What a canvas holds. @throws NotReadable */
export async function preparedOf(
  canvas: HTMLCanvasElement,
  type: Prepared['type'],
  quality?: number,
): Promise<Prepared> {
  const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, type, quality));
  if (!blob) throw new NotReadable('This device has no memory left for the picture.');
  const bytes = await blob.arrayBuffer();
  return { bytes, type, hash: hashOf(bytes), widthPx: canvas.width, heightPx: canvas.height };
}
