import type { Documentation, DocumentedFunction } from './docs.ts';
import { SUBJECTS } from './subjects.ts';

const FUNCTIONS = [
  '<!-- functions: made by `npm run docs` from the comments in src -->',
  '<!-- end of functions -->',
];

/** A page with its generated part made anew: the tables of functions and constants. */
export function withTables(page: string, documentation: Documentation): string {
  return between(
    page,
    FUNCTIONS,
    `
${tables(documentation)}
`,
  );
}

function between(page: string, [start = '', end = '']: readonly string[], content: string): string {
  const from = page.indexOf(start);
  const to = page.indexOf(end);
  if (from < 0 || to < from) {
    throw new Error(`the page has no part between ${start} and ${end}`);
  }
  return `${page.slice(0, from + start.length)}\n${content}\n${page.slice(to)}`;
}

function tables(documentation: Documentation): string {
  return SUBJECTS.map(({ title, modules }) => {
    // What has no unit is a guard or a step of another function, exported for its neighbours only.
    const functions = modules.flatMap((module) =>
      documentation.functions.filter((one) => one.module === module && one.tags.unit),
    );
    const constants = modules.flatMap((module) =>
      documentation.constants.filter((one) => one.module === module && one.text !== ''),
    );
    const rows = functions.map(functionRow);
    const constantRows = constants.map(({ module, name, text }) => [`\`${name}\``, module, text]);
    return [
      `### ${title}`,
      table(['function', 'gives', 'unit', 'formula', 'constants', 'source', 'from'], rows),
      ...(constantRows.length > 0 ? [table(['constant', 'from', 'what it is'], constantRows)] : []),
    ].join('\n\n');
  }).join('\n\n');
}

function functionRow(one: DocumentedFunction): string[] {
  const tag = (name: string) => one.tags[name]?.join(' ') ?? '';
  const gives = /^.*?[.:](?= |$)/.exec(one.text)?.[0] ?? one.text;
  return [`\`${one.name}\``, gives, tag('unit'), tag('formula'), tag('constants'), tag('source'), one.module];
}

/** A table in Markdown, padded so that it also reads well as text. */
function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const cells = [head, ...rows].map((row) => row.map(escaped));
  const widths = head.map((_, column) => Math.max(3, ...cells.map((row) => length(row[column] ?? ''))));
  const line = (row: readonly string[]) =>
    `| ${row.map((cell, column) => cell + ' '.repeat((widths[column] ?? 0) - length(cell))).join(' | ')} |`;
  const [first = [], ...others] = cells;
  return [
    line(first),
    `| ${widths.map((width) => '-'.repeat(width)).join(' | ')} |`,
    ...others.map(line),
  ].join('\n');
}

function length(text: string): number {
  return [...text].length;
}

function escaped(text: string): string {
  return text.replaceAll('|', '\\|').replaceAll('<', '&lt;');
}
