import { namePart, recordPart } from '@plumbline/replica';
import { DEPARTMENTS, type Department, number, reference, retired, table, text } from './field.ts';

const by: readonly Department[] = DEPARTMENTS;
const papers = ['scouting'] as const;

/** What is plugged in, or is planned to be, at a place: `place.n`. Planning figures, never a permission. */
export const loads = table('Loads', [recordPart('places'), namePart(/^[1-9]\d{0,3}$/)], {
  circuit: text(
    { label: 'Circuit', help: 'The circuit of the place that it hangs on, by its name.', by, papers },
    40,
  ),
  item: reference('kit', { label: 'Item', help: 'The item of the kit that is plugged in.', by, papers }),
  what: text({ label: 'What', help: 'What is plugged in, where it is no item of the kit.', by, papers }, 80),
  watts: number(
    {
      label: 'Power',
      help: 'What one of them takes; left open, what the kit list says.',
      unit: 'W',
      by,
      papers,
    },
    { min: 0, max: 50_000, step: 10, decimals: 1 },
  ),
  count: number(
    { label: 'How many', help: 'How many of them hang on it; one where it is left open.', by, papers },
    { min: 1, max: 100, step: 1, whole: true },
  ),
  powerFactor: number(
    {
      label: 'Power factor',
      help: 'Watts over volt-amperes as on its plate; left open it counts as 1, too kind to many lamps.',
      by,
      papers,
    },
    { min: 0.1, max: 1, step: 0.05, decimals: 2 },
  ),
  retired: retired(by),
});
