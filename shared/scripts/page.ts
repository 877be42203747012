import { type RuleEntry, ruleCatalogue } from '@plumbline/shared/rules';
import { TOLERANCES } from '@plumbline/shared/tables';

/** The chapters of the page, by the first word of a rule's id. */
const CHAPTERS: readonly { readonly title: string; readonly of: readonly string[] }[] = [
  { title: 'Exposure', of: ['exposure'] },
  { title: 'Depth', of: ['depth'] },
  { title: 'Motion', of: ['motion'] },
  { title: 'Timecode', of: ['timecode'] },
  { title: 'Colour', of: ['colour'] },
  { title: 'Light of the place', of: ['light'] },
  { title: 'Format', of: ['format'] },
  { title: 'Sound', of: ['sound'] },
  { title: 'Media and power', of: ['media', 'power'] },
  { title: 'Kit and custody', of: ['kit', 'custody', 'hire'] },
  { title: 'Checks', of: ['camera', 'checks'] },
];

const SEVERITY = {
  fault: 'Fault: it cannot be, or cannot record rightly',
  break: 'Break: it does not match what it must cut with, or what was agreed',
  advice: 'Advice: common practice says otherwise',
} as const;

function toleranceLine({ tolerance }: RuleEntry): string {
  if (!tolerance) return '- Tolerance: none; same or different';
  const { min, max } = TOLERANCES[tolerance.field];
  return `- Tolerance: ${tolerance.usual} ${tolerance.unit}, unless the shoot sets ${min} to ${max} (*${tolerance.label}*)`;
}

function entryText(rule: RuleEntry): string {
  return [
    `### ${rule.title}`,
    '',
    rule.catches,
    '',
    rule.why,
    '',
    `- ${SEVERITY[rule.severity]}`,
    `- Mended by: ${rule.department}${rule.beforeTake ? '; stands against the first take' : ''}`,
    `- Looks at: ${rule.scope}`,
    toleranceLine(rule),
    `- Rests on: ${rule.basis}`,
    `- Its id: \`${rule.id}\`, reading ${rule.reads.map((field) => `\`${field}\``).join(', ')}`,
  ].join('\n');
}

/** The page that lists every rule for users, made from the catalogue. */
export function rulesPage(rules: readonly RuleEntry[] = ruleCatalogue): string {
  const chapters = CHAPTERS.map(({ title, of }) => {
    const mine = rules.filter(({ id }) => of.includes(id.split('-')[0] ?? ''));
    return [`## ${title}`, ...mine.map(entryText)].join('\n\n');
  });
  const told = rules.filter(({ id }) => CHAPTERS.some(({ of }) => of.includes(id.split('-')[0] ?? '')));
  if (told.length !== rules.length) throw new Error('a rule belongs to no chapter');
  return `${[
    '# What the board looks for',
    `${rules.length} rules, each judged on its own scope and again only when something it reads has changed; the same on the base and on every tablet, with no network. None of them refuses anything: a finding is shown to the department that can mend it, and the director may let it stand for the values it has. What is not entered is never a false break: the rule says which fields it waits for.`,
    'A figure without a published source says so: *common practice, no source*. Sums of power, levels, radio carriers and limits of temperature are planning figures; local codes, licences and the people who hold them decide.',
    'Made from the rules themselves by `npm run docs -w shared`.',
    ...chapters,
  ].join('\n\n')}\n`;
}
