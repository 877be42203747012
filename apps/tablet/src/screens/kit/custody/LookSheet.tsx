import {
  CHECK_POINT_WORDS,
  type CheckPoint,
  type CustodyAct,
  checkPointsOf,
  type HeldCondition,
  type KitItem,
} from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ChoiceBox, TextBox } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';

export type Looked = Pick<CustodyAct, 'looked' | 'atFault' | 'condition' | 'remark' | 'where'>;

const CONDITIONS: readonly { value: HeldCondition; label: string }[] = [
  { value: 'good', label: 'Good' },
  { value: 'worn', label: 'Worn' },
  { value: 'faulty', label: 'Faulty' },
];

/** Looking a thing over before it leaves or when it comes back: each point in order or at fault, its condition, a remark. */
export function LookSheet(props: {
  title: string;
  item: KitItem;
  act: string;
  /** Asks where it is put. */
  asksWhere?: boolean;
  /** What is wrong must be said. */
  mustRemark?: boolean;
  /** Points and condition are not asked about. */
  brief?: boolean;
  onGive: (looked: Looked) => void;
  onClose: () => void;
}): JSX.Element {
  const { item, mustRemark, asksWhere, brief } = props;
  const [found, setFound] = useState<ReadonlyMap<CheckPoint, boolean>>(new Map());
  const [chosen, setChosen] = useState<HeldCondition | null>(null);
  const [remark, setRemark] = useState('');
  const [where, setWhere] = useState('');
  const points = brief ? [] : checkPointsOf(item);
  const atFault = points.filter((point) => found.get(point) === false);
  const looked = points.filter((point) => found.get(point) === true);
  const condition = chosen ?? (atFault.length > 0 ? 'faulty' : null);
  const said = remark.trim();
  const set = (point: CheckPoint, inOrder: boolean): void => {
    const next = new Map(found);
    if (found.get(point) === inOrder) next.delete(point);
    else next.set(point, inOrder);
    setFound(next);
  };
  const give = (event: Event): void => {
    event.preventDefault();
    if (mustRemark && said === '') return;
    props.onGive({
      ...(looked.length > 0 && { looked }),
      ...(atFault.length > 0 && { atFault }),
      ...(condition !== null && { condition }),
      ...(said !== '' && { remark: said }),
      ...(where.trim() !== '' && { where: where.trim() }),
    });
    props.onClose();
  };
  return (
    <Sheet title={props.title} onClose={props.onClose}>
      <form class="stack" onSubmit={give} noValidate>
        {points.length > 0 && (
          <>
            <ul class="kit-points">
              {points.map((point) => (
                <li key={point} data-point={point}>
                  <strong>{CHECK_POINT_WORDS[point]}</strong>
                  <button
                    type="button"
                    class="act"
                    aria-pressed={found.get(point) === true}
                    aria-label={`${CHECK_POINT_WORDS[point]}: in order`}
                    onClick={() => set(point, true)}
                  >
                    In order
                  </button>
                  <button
                    type="button"
                    class="act"
                    aria-pressed={found.get(point) === false}
                    aria-label={`${CHECK_POINT_WORDS[point]}: at fault`}
                    onClick={() => set(point, false)}
                  >
                    At fault
                  </button>
                </li>
              ))}
            </ul>
            <ChoiceBox
              label="Condition"
              help="How it is on the whole; may stay open."
              options={CONDITIONS.filter(({ value }) => !(mustRemark && value === 'good'))}
              chosen={condition}
              onChoose={(value) => setChosen(chosen === value ? null : value)}
            />
          </>
        )}
        {asksWhere && (
          <TextBox
            label="Where it stands"
            help="So that the next person finds it, such as on the piano in the hall."
            max={60}
            value={where}
            onText={setWhere}
          />
        )}
        <TextBox
          label={mustRemark ? 'What is wrong' : 'Remark'}
          help={
            mustRemark
              ? 'In a few words: what whoever takes or mends it must know.'
              : 'What the next person must know; may stay empty.'
          }
          kind="lines"
          max={300}
          value={remark}
          onText={setRemark}
        />
        <button type="submit" class="act primary" disabled={mustRemark && said === ''}>
          {props.act}
        </button>
      </form>
    </Sheet>
  );
}
