/** Kinds of checksum that an ASC Media Hash List has an element for, in the order that they are written in here. */
export const MHL_KINDS = ['md5', 'sha1', 'c4', 'xxh64', 'xxh3', 'xxh128'] as const;
export type MhlKind = (typeof MHL_KINDS)[number];

/** A file with its checksums. */
export interface HashedFile {
  /** From the folder that the list is about, with forward slashes. */
  readonly path: string;
  readonly bytes: number;
  /** ms since 1970 */
  readonly modifiedAt?: number;
  /** By kind, in hexadecimal. */
  readonly sums: Readonly<Record<string, string>>;
  /** `original`: summed for the first time; `verified`: the same as before; `failed`: not the same. */
  readonly action: 'original' | 'verified' | 'failed';
  /** When it was summed, ms since 1970. */
  readonly hashedAt: number;
}

/** What a list says of itself. */
export interface HashListInfo {
  /** ms since 1970 */
  readonly createdAt: number;
  readonly hostname: string;
  readonly tool: { readonly name: string; readonly version: string };
  readonly author?: { readonly name: string; readonly role?: string };
  readonly comment?: string;
  readonly process: 'in-place' | 'transfer';
  /** Patterns of files left out, in the form of `.gitignore`. */
  readonly ignored?: readonly string[];
}

/** A path that cannot stand in a list: it leaves the folder, or holds what XML or a line of text cannot. */
export class UnlistablePath extends Error {
  override readonly name = 'UnlistablePath';
  constructor(path: string) {
    super(`${JSON.stringify(path)} cannot stand in a list of checksums.`);
  }
}

const SAFE_PATH = /^(?!\/)(?!.*(?:^|\/)\.\.(?:\/|$))[^\p{Cc}\p{Cs}\uFFFE\uFFFF\\]+$/u;

/** Whether a path can stand in a list. */
export function isListable(path: string): boolean {
  return SAFE_PATH.test(path);
}

function requirePath(path: string): string {
  if (!isListable(path)) throw new UnlistablePath(path);
  return path;
}

function xml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replace(/[\p{Cc}\p{Cs}\uFFFE\uFFFF]/gu, ' ');
}

function dateTime(at: number): string {
  return `${new Date(at).toISOString().slice(0, 19)}+00:00`;
}

/**
 * A media hash list. It stands by itself: the chain file that lists the generations of a folder is for whoever keeps
 * the folder.
 *
 * @throws UnlistablePath
 * @throws RangeError for no files, or a file without a checksum of {@link MHL_KINDS}: such a list needs the plain form
 * @source ASC Media Hash List, XML schema of `urn:ASC:MHL:v2.0`
 */
export function mediaHashList(info: HashListInfo, files: readonly HashedFile[]): string {
  if (files.length === 0) throw new RangeError('A media hash list is about at least one file.');
  const { createdAt, hostname, tool, author, comment, process, ignored = [] } = info;
  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<hashlist version="2.0" xmlns="urn:ASC:MHL:v2.0">',
    '  <creatorinfo>',
    `    <creationdate>${dateTime(createdAt)}</creationdate>`,
    `    <hostname>${xml(hostname)}</hostname>`,
    `    <tool version="${xml(tool.version)}">${xml(tool.name)}</tool>`,
    ...(author === undefined
      ? []
      : [
          `    <author${author.role === undefined ? '' : ` role="${xml(author.role)}"`}>${xml(author.name)}</author>`,
        ]),
    ...(comment === undefined ? [] : [`    <comment>${xml(comment)}</comment>`]),
    '  </creatorinfo>',
    '  <processinfo>',
    `    <process>${process}</process>`,
    ...(ignored.length === 0
      ? []
      : [
          '    <ignore>',
          ...ignored.map((pattern) => `      <pattern>${xml(pattern)}</pattern>`),
          '    </ignore>',
        ]),
    '  </processinfo>',
    '  <hashes>',
    ...files.flatMap(hashLines),
    '  </hashes>',
    '</hashlist>',
  ];
  return `${lines.join('\n')}\n`;
}

function hashLines(file: HashedFile): string[] {
  const { path, bytes, modifiedAt, sums, action, hashedAt } = file;
  const known = MHL_KINDS.filter((kind) => sums[kind] !== undefined);
  if (known.length === 0)
    throw new RangeError(`${path} has no checksum of a kind that a media hash list knows.`);
  const modified = modifiedAt === undefined ? '' : ` lastmodificationdate="${dateTime(modifiedAt)}"`;
  return [
    '    <hash>',
    `      <path size="${bytes}"${modified}>${xml(requirePath(path))}</path>`,
    ...known.map(
      (kind) =>
        `      <${kind} action="${action}" hashdate="${dateTime(hashedAt)}">${xml(sums[kind] ?? '')}</${kind}>`,
    ),
    '    </hash>',
  ];
}

/**
 * A plain list of one kind of checksum, a line a file, as the `md5sum` of GNU coreutils and the `xxh64sum` of xxHash
 * write and check it.
 *
 * @throws UnlistablePath
 * @source GNU coreutils manual, "md5sum invocation": checksum, space, space for text, name
 */
export function checksumList(kind: string, files: readonly HashedFile[]): string {
  return files
    .flatMap(({ path, sums }) => {
      const sum = sums[kind];
      return sum === undefined ? [] : [`${sum}  ${requirePath(path)}\n`];
    })
    .join('');
}
