/** What a cell can hold: a JSON scalar, list or object. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/** Keys that would reach into an object's prototype when somebody copies it carelessly. */
const FORBIDDEN_KEYS: ReadonlySet<string> = new Set(['__proto__', 'constructor', 'prototype']);

/** How deep lists and objects are nested: a scalar is 0, `[1]` is 1. */
function nesting(value: unknown): number {
  if (value === null || typeof value !== 'object') return 0;
  let deepest = 0;
  for (const part of Object.values(value)) deepest = Math.max(deepest, nesting(part));
  return deepest + 1;
}

/** Whether a value that came out of `JSON.parse` (or was made by hand) is JSON and nested at most `maxDepth` deep. */
export function isJson(value: unknown, maxDepth = 16): value is Json {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return true;
  if (typeof value === 'number') return Number.isFinite(value);
  if (typeof value !== 'object' || maxDepth === 0) return false;
  if (Array.isArray(value)) return value.every((part) => isJson(part, maxDepth - 1));
  const prototype = Object.getPrototypeOf(value);
  if (prototype !== Object.prototype && prototype !== null) return false;
  return Object.entries(value).every(([key, part]) => !FORBIDDEN_KEYS.has(key) && isJson(part, maxDepth - 1));
}

/** Length of the value as JSON text, in UTF-8 bytes. */
export function jsonBytes(value: Json): number {
  const text = JSON.stringify(value);
  let bytes = text.length;
  for (let i = 0; i < text.length; i++) {
    const unit = text.charCodeAt(i);
    if (unit > 0x7f) bytes += unit > 0x7ff && !isSurrogate(unit) ? 2 : 1;
  }
  return bytes;
}

/** Each half of a surrogate pair stands for two of the pair's four bytes. */
function isSurrogate(unit: number): boolean {
  return unit >= 0xd800 && unit <= 0xdfff;
}

/** Whether a value fits a cell: at most `bytes` long and `depth` levels deep. */
export function fitsCell(value: Json, bytes = 4096, depth = 4): boolean {
  return nesting(value) <= depth && jsonBytes(value) <= bytes;
}

/** Whether two JSON values are the same, whatever the order of their keys. */
export function sameJson(a: Json | undefined, b: Json | undefined): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const left = Object.entries(a);
  const right = new Map(Object.entries(b));
  return (
    left.length === right.size &&
    left.every(([key, value]) => right.has(key) && sameJson(value, right.get(key)))
  );
}

/**
 * Reads JSON text that came from outside. Stricter than `JSON.parse`: an object that repeats a key, a key that
 * reaches into a prototype, or nesting past `maxDepth` is refused, since two readers of such a text would not
 * see the same value.
 *
 * @throws SyntaxError with a short reason
 */
export function parseStrictJson(text: string, maxDepth = 12): unknown {
  const parsed: unknown = JSON.parse(text);
  refuseHiddenKeys(text, maxDepth);
  return parsed;
}

/** Walks text that is known to be valid JSON and looks only at nesting and keys. */
function refuseHiddenKeys(text: string, maxDepth: number): void {
  const open: (Set<string> | null)[] = [];
  let expectKey = false;
  for (let i = 0; i < text.length; i++) {
    const char = text[i];
    if (char === '"') {
      const end = endOfString(text, i);
      const keys = open.at(-1);
      if (expectKey && keys) {
        const key: unknown = JSON.parse(text.slice(i, end + 1));
        if (typeof key !== 'string' || FORBIDDEN_KEYS.has(key)) throw new SyntaxError('forbidden key');
        if (keys.has(key)) throw new SyntaxError('repeated key');
        keys.add(key);
        expectKey = false;
      }
      i = end;
    } else if (char === '{' || char === '[') {
      if (open.length === maxDepth) throw new SyntaxError('nested too deep');
      open.push(char === '{' ? new Set() : null);
      expectKey = char === '{';
    } else if (char === '}' || char === ']') {
      open.pop();
      expectKey = false;
    } else if (char === ',') {
      expectKey = open.at(-1) != null;
    }
  }
}

function endOfString(text: string, start: number): number {
  let i = start + 1;
  while (text[i] !== '"') i += text[i] === '\\' ? 2 : 1;
  return i;
}
