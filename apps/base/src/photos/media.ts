/** Kinds of picture that are kept, by their media type. */
export const PHOTO_TYPES = ['image/jpeg', 'image/png', 'image/webp'] as const;
export type PhotoType = (typeof PHOTO_TYPES)[number];

/** So many first bytes are enough to tell what a file is. */
export const HEAD_BYTES = 12;

/** What a file is by its first bytes; `null` for anything else. ITU-T T.81, W3C PNG, RFC 9649 (WebP in RIFF). */
export function photoType(head: Uint8Array): PhotoType | null {
  const text = (from: number, to: number): string => String.fromCharCode(...head.subarray(from, to));
  if (head[0] === 0xff && head[1] === 0xd8 && head[2] === 0xff) return 'image/jpeg';
  if (text(0, 8) === '\x89PNG\r\n\x1a\n') return 'image/png';
  return text(0, 4) === 'RIFF' && text(8, 12) === 'WEBP' ? 'image/webp' : null;
}
