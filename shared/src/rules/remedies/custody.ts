import type { Change } from '../finding.ts';
import type { Candidate } from '../rule.ts';
import type { ItemView } from '../scopes.ts';

/** The item as it would stand once somebody signed that it is with them, in order. */
function signedFor({ id, events }: ItemView): Change {
  const last = events.at(-1);
  return {
    table: 'custody',
    record: 'supposed.1',
    field: 'event',
    value: {
      item: id,
      what: 'takeOver',
      to: 'somebody',
      ...(last === undefined ? {} : { after: last.record }),
      attended: true,
      signedBy: 'somebody',
      at: (last?.event.at ?? 0) + 1,
    },
  };
}

/** Asks for the item to be found and signed for. Nothing is written: the person who has it signs. */
export function seenCandidates(view: ItemView): Candidate[] {
  return [
    {
      id: 'signFor',
      label: `Find ${view.name}, and let whoever has it sign for it`,
      changes: [],
      supposes: [signedFor(view)],
      trouble: 0.3,
    },
  ];
}

/** Asks for the item to be mended or fetched; or the setup is to do without it. */
export function fallenCandidates(view: ItemView): Candidate[] {
  return [
    {
      id: 'fetch',
      label: `Get ${view.name} or another in its place, try it out, and sign for it`,
      changes: [],
      supposes: [{ table: 'kit', record: view.id, field: 'condition', value: 'good' }, signedFor(view)],
      trouble: 0.5,
    },
    {
      id: 'doWithout',
      label: `Do without ${view.name}`,
      changes: [{ table: 'kit', record: view.id, field: 'neededBy', value: null }],
      trouble: 1,
    },
  ];
}
