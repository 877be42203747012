import type { JSX } from 'preact';
import { ScreenLink } from '../app/links.tsx';
import { initials, type Somebody } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import { Icon } from './Icon.tsx';

const MOST_CHIPS = 5;

/** A person as two letters; the name is read out, and shown on the unit's page. */
export function PersonChip({ somebody }: { somebody: Somebody }): JSX.Element {
  return (
    <span
      class="person"
      data-role={somebody.role}
      data-person={somebody.id}
      data-here={somebody.here}
      title={somebody.name}
      aria-hidden="true"
    >
      {initials(somebody.name)}
    </span>
  );
}

/** Who is here now; leads to where they are. */
export function People(): JSX.Element {
  const here = useDesk().peopleHere.value;
  const names = here.map((somebody) => somebody.name).join(', ');
  return (
    <ScreenLink
      screen="unit"
      class="bar-chip people-chip"
      data-here={here.length}
      aria-label={here.length === 0 ? 'Nobody is connected' : `Here: ${names}`}
    >
      <span class="people wide-only">
        {here.length === 0 && <Icon name="unit" />}
        {here.slice(0, MOST_CHIPS).map((somebody) => (
          <PersonChip key={somebody.id} somebody={somebody} />
        ))}
        {here.length > MOST_CHIPS && <span class="label">+{here.length - MOST_CHIPS}</span>}
      </span>
      <Icon name="unit" class="narrow-only" />
      <span class="narrow-only number">{here.length}</span>
    </ScreenLink>
  );
}
