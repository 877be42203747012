import { decodeUtf8 } from 'lib0/string';

/** What bytes 0x80 to 0x9F stand for in Windows-1252; the WHATWG encoding standard keeps the five unused as they are. */
const WINDOWS_1252 =
  '\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f' +
  '\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178';

function fromUtf16(bytes: Uint8Array, littleEndian: boolean): string {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let text = '';
  for (let at = 2; at + 1 < bytes.length; at += 2) {
    text += String.fromCharCode(view.getUint16(at, littleEndian));
  }
  return text;
}

function fromWindows1252(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) =>
    byte >= 0x80 && byte <= 0x9f ? WINDOWS_1252.charAt(byte - 0x80) : String.fromCharCode(byte),
  ).join('');
}

function decoded(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return fromUtf16(bytes, true);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return fromUtf16(bytes, false);
  try {
    return decodeUtf8(bytes);
  } catch {
    // Not UTF-8: an older spreadsheet on Windows. Every byte means something there, so this cannot fail.
    return fromWindows1252(bytes);
  }
}

/**
 * The text of a plan file with `\n` at every line's end. Bytes are read by their byte order mark as UTF-16 or UTF-8,
 * without one as UTF-8 or, where they are not that, as Windows-1252.
 */
export function planText(text: string | Uint8Array): string {
  const whole = typeof text === 'string' ? text : decoded(text);
  return whole.replace(/^\ufeff/, '').replace(/\r\n?/g, '\n');
}
