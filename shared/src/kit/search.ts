import { codeOf } from './codes.ts';
import type { KitItem } from './items.ts';

/** Text as it is searched: small letters, no accents. */
export function plainText(text: string): string {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();
}

/** What an item is found by, in one line: name, serial, kind, case, owner, department, code, and who has it. */
export function searchText(id: string, item: KitItem, holders: readonly string[]): string {
  const code = codeOf(id);
  const words = [
    item.name,
    item.serial,
    item.kind,
    item.packedIn,
    item.owner,
    ...holders,
    id.replace('.', ' '),
  ];
  return plainText(
    `${words.filter((word) => word !== undefined).join('\n')}\n${code}\n${code.slice(0, 4)}-${code.slice(4)}`,
  );
}

/** Those that have every word of a query somewhere, in their order. An empty query finds all. */
export function searchKit<T>(rows: readonly T[], textOf: (row: T) => string, query: string): readonly T[] {
  const words = plainText(query)
    .split(/\s+/)
    .filter((word) => word !== '');
  if (words.length === 0) return rows;
  return rows.filter((row) => {
    const text = textOf(row);
    return words.every((word) => text.includes(word));
  });
}
