import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** An exported function with what its comment says. */
export interface DocumentedFunction {
  readonly module: string;
  readonly name: string;
  /** Parameters as they are written, without the brackets. */
  readonly parameters: string;
  readonly returns: string;
  /** Text of the comment before its tags. */
  readonly text: string;
  /** Text behind each tag; a tag that appears twice has two. */
  readonly tags: Readonly<Record<string, readonly string[]>>;
}

/** An exported constant with what its comment says. */
export interface DocumentedConstant {
  readonly module: string;
  readonly name: string;
  readonly text: string;
}

/** Everything that the modules of a folder export and document. */
export interface Documentation {
  readonly functions: readonly DocumentedFunction[];
  readonly constants: readonly DocumentedConstant[];
}

const EXPORT =
  /(?:\/\*\*((?:(?!\*\/)[\s\S])*)\*\/\n)?export (?:function (\w+)\(([\s\S]*?)\): ([\s\S]*?) \{\n|const (\w+)\b)/g;

/** Reads the comments of every module in a source folder, in the order of the modules' names. */
export function readDocumentation(folder: string): Documentation {
  const functions: DocumentedFunction[] = [];
  const constants: DocumentedConstant[] = [];
  for (const file of readdirSync(folder)
    .filter((name) => name.endsWith('.ts'))
    .sort()) {
    const module = file.replace(/\.ts$/, '');
    for (const match of readFileSync(join(folder, file), 'utf8').matchAll(EXPORT)) {
      const [, comment = '', name, parameters = '', returns = '', constant] = match;
      const { text, tags } = parseComment(comment);
      if (name) {
        functions.push({
          module,
          name,
          parameters: oneLine(parameters),
          returns: oneLine(returns),
          text,
          tags,
        });
      } else if (constant) {
        constants.push({ module, name: constant, text });
      }
    }
  }
  return { functions, constants };
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').replace(/,\s*$/, '').trim();
}

/** The text before the first tag, and the text behind each tag up to the next. */
function parseComment(comment: string): Pick<DocumentedFunction, 'text' | 'tags'> {
  const plain = comment
    .split('\n')
    .map((line) => line.replace(/^\s*\*?\s?/, ''))
    .join('\n');
  const [text = '', ...sections] = plain.split(/^@/m);
  const tags: Record<string, string[]> = {};
  for (const section of sections) {
    const [, name = '', rest = ''] = /^(\w+)\s*([\s\S]*)$/.exec(section) ?? [];
    tags[name] = [...(tags[name] ?? []), oneLine(rest)];
  }
  return { text: oneLine(text), tags };
}
