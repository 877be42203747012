import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';
import { Sheet } from '../../../parts/Sheet.tsx';

/** Asks for one of the people on the board. */
export function PersonSheet(props: {
  title: string;
  /** Leaves out the person of this tablet. */
  others?: boolean;
  onChoose: (person: string) => void;
  onClose: () => void;
}): JSX.Element {
  const desk = useDesk();
  const people = desk.people.value.filter(
    ({ id, role }) => role !== 'producer' && !(props.others && id === desk.me.personId),
  );
  return (
    <Sheet title={props.title} onClose={props.onClose}>
      {people.length === 0 && <p class="muted">Nobody else has joined yet.</p>}
      <div class="options">
        {people.map(({ id, name, here, isKnown }) => (
          <button
            key={id}
            type="button"
            data-choose={id}
            onClick={() => {
              props.onChoose(id);
              props.onClose();
            }}
          >
            {id === desk.me.personId ? sentence`${name} (you)` : name}
            {!here && isKnown && <span class="label"> · not connected</span>}
          </button>
        ))}
      </div>
    </Sheet>
  );
}
