import { setupsNeeding } from '../../kit/items.ts';
import { sentence } from '../../views/apart.ts';
import type { Change } from '../finding.ts';
import type { Candidate } from '../rule.ts';
import type { ItemView } from '../scopes.ts';

/** The item as it would stand once somebody signed that it is with them, every story of it at an end. */
function signedFor({ id, custody }: ItemView, inOrder = false): Change {
  const heads = custody.standing
    ? [custody.standing.last]
    : (custody.fork?.branches ?? []).map(({ last }) => last);
  const [first, ...others] = heads.filter((head) => head !== null);
  const latest = Math.max(0, ...custody.ledger.map(({ event }) => event.at));
  return {
    table: 'custody',
    record: 'supposed.1',
    field: 'event',
    value: {
      item: id,
      what: custody.fork ? 'settle' : 'takeOver',
      to: 'somebody',
      ...(first && { after: first.record }),
      ...(others.length > 0 && { alsoAfter: others.slice(0, 12).map(({ record }) => record) }),
      ...(inOrder && { condition: 'good' }),
      attended: true,
      signedBy: 'somebody',
      at: latest + 1,
    },
  };
}

/** Asks for the item to be found and signed for. Nothing is written: the person who has it signs. */
export function seenCandidates(view: ItemView): Candidate[] {
  return [
    {
      id: 'signFor',
      label: sentence`Find ${view.name}, and let whoever has it sign for it`,
      changes: [],
      supposes: [signedFor(view)],
      trouble: 0.3,
    },
  ];
}

/** Keeps a hired item for longer, once whoever owns it agrees, or does without it. */
export function keptCandidates(view: ItemView, until: string): Candidate[] {
  const without = fallenCandidates(view).filter(({ id }) => id === 'doWithout');
  return [
    {
      id: 'keep',
      label: sentence`Ask its owner to let ${view.name} stay until ${until}, and enter the new day`,
      changes: [],
      supposes: [{ table: 'kit', record: view.id, field: 'dueBack', value: until }],
      trouble: 0.3,
    },
    ...without,
  ];
}

/** Asks for the stories of an item to be brought to one. Nothing is written: somebody who has seen it signs. */
export function settledCandidates(view: ItemView): Candidate[] {
  return [
    {
      id: 'settle',
      label: sentence`Find ${view.name}, and say on its page which story is true`,
      changes: [],
      supposes: [signedFor(view)],
      trouble: 0.3,
    },
  ];
}

/** Asks for the item to be mended or fetched; or the setups are to do without it. */
export function fallenCandidates(view: ItemView): Candidate[] {
  const { id, item, name, neededBy } = view;
  const open = new Set(neededBy.filter(({ state }) => state !== 'complete').map((setup) => setup.id));
  const left = setupsNeeding(item).filter((setup) => !open.has(setup));
  return [
    {
      id: 'fetch',
      label: sentence`Get ${name} or another in its place, try it out, and sign for it`,
      changes: [],
      supposes: [{ table: 'kit', record: id, field: 'condition', value: 'good' }, signedFor(view, true)],
      trouble: 0.5,
    },
    {
      id: 'doWithout',
      label: sentence`Do without ${name}`,
      changes: [{ table: 'kit', record: id, field: 'neededBy', value: left.length === 0 ? null : left }],
      trouble: 1,
    },
  ];
}
