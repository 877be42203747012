import { CHECKSUMS, sentence } from '@plumbline/shared';
import { type CardStanding, checkCopy, recordCopy } from '@plumbline/shared/cards';
import type { CardCopy } from '@plumbline/shared/views';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { ChoiceBox, TextBox } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { doAct } from './doAct.ts';
import { checkWords } from './words.ts';

type Checked = CardCopy['checked'];
type SumKind = NonNullable<CardCopy['sum']>['kind'];

const CHECKS: readonly Checked[] = ['no', 'checksum', 'byEye', 'differs'];
const MOST_PLACES = 6;

/** When the copying began: what was recorded after it is not in the copy. */
const BEGUN: readonly { readonly minutes: number; readonly label: string }[] = [
  { minutes: 0, label: 'Just now' },
  { minutes: 10, label: '10 min ago' },
  { minutes: 30, label: '30 min ago' },
  { minutes: 60, label: '1 h ago' },
];

/** The places that copies have gone to on this shoot, the most used first. */
function usualPlaces(desk: Desk): string[] {
  const counts = new Map<string, number>();
  for (const card of desk.board.records('cards')) {
    for (const { where } of desk.board.value('cards', card, 'copies') ?? []) {
      counts.set(where, (counts.get(where) ?? 0) + 1);
    }
  }
  for (const item of desk.recordsInUse('kit')) {
    const { kind, name } = desk.board.view('kit', item);
    if (kind === 'Storage' && name !== undefined && !counts.has(name)) counts.set(name, 0);
  }
  return [...counts]
    .sort((a, b) => b[1] - a[1])
    .map(([where]) => where)
    .slice(0, MOST_PLACES);
}

/** A copy of a card: where to, when it was begun, and how it was compared with the card. */
export function CopySheet({ card, onClose }: { card: CardStanding; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const places = useDerived(() => usualPlaces(desk), [desk]);
  const [where, setWhere] = useState('');
  const [begun, setBegun] = useState(0);
  const [checked, setChecked] = useState<Checked>('no');
  const [sum, setSum] = useState<Sum>(NO_SUM);
  const ready = where.trim() !== '' && sumProblem(checked, sum) === null;
  const record = (event: Event): void => {
    event.preventDefault();
    if (!ready) return;
    const now = Math.floor(desk.now());
    const copy: CardCopy = {
      where: where.trim(),
      checked,
      at: now - begun * 60_000,
      by: desk.me.personId,
      ...(checked !== 'no' && { checkedAt: now, checkedBy: desk.me.personId }),
      ...sumOf(checked, sum),
    };
    if (doAct(desk, sentence`Copy of ${card.name} to ${copy.where}`, recordCopy(desk.board, card, copy)))
      onClose();
  };
  return (
    <Sheet title={sentence`Copy of ${card.name}`} onClose={onClose}>
      <form class="stack cards-form" onSubmit={record} noValidate>
        <TextBox
          label="Where the copy is"
          help="The drive or machine, by the name that everybody calls it: two copies on one of them count as one."
          max={60}
          value={where}
          onText={setWhere}
        />
        <div class="options">
          {places.map((place) => (
            <button key={place} type="button" aria-pressed={where === place} onClick={() => setWhere(place)}>
              {place}
            </button>
          ))}
        </div>
        <ChoiceBox
          label="Copying began"
          help="What was recorded on the card after that is not in the copy."
          options={BEGUN.map(({ minutes, label }) => ({ value: String(minutes), label }))}
          chosen={String(begun)}
          onChoose={(minutes) => setBegun(Number(minutes))}
        />
        <Checking checked={checked} sum={sum} onChecked={setChecked} onSum={setSum} />
        <button type="submit" class="act primary" disabled={!ready}>
          Record the copy
        </button>
      </form>
    </Sheet>
  );
}

/** How a copy turned out that was recorded before. */
export function CheckSheet(props: { card: CardStanding; index: number; onClose: () => void }): JSX.Element {
  const { card, index, onClose } = props;
  const desk = useDesk();
  const copy = card.card.copies?.[index];
  const [checked, setChecked] = useState<Checked>('checksum');
  const [sum, setSum] = useState<Sum>(NO_SUM);
  const ready = copy !== undefined && sumProblem(checked, sum) === null;
  return (
    <Sheet title={sentence`Check of ${card.name} on ${copy?.where ?? '…'}`} onClose={onClose}>
      <form
        class="stack cards-form"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          const act = checkCopy(desk.board, card, index, {
            checked,
            at: Math.floor(desk.now()),
            by: desk.me.personId,
            ...sumOf(checked, sum),
          });
          if (doAct(desk, sentence`Check of ${card.name}`, act)) onClose();
        }}
      >
        <Checking checked={checked} sum={sum} onChecked={setChecked} onSum={setSum} />
        <button type="submit" class="act primary" disabled={!ready}>
          Record the check
        </button>
      </form>
    </Sheet>
  );
}

interface Sum {
  readonly kind: SumKind;
  readonly value: string;
}

const NO_SUM: Sum = { kind: 'xxh64', value: '' };

function sumOf(checked: Checked, { kind, value }: Sum): { sum?: { kind: SumKind; value?: string } } {
  if (checked !== 'checksum' && checked !== 'differs') return {};
  const text = value.trim().toLowerCase();
  return { sum: text === '' ? { kind } : { kind, value: text } };
}

/** What is wrong with a checksum as it was typed; nothing typed is right, its kind says enough. */
function sumProblem(checked: Checked, { kind, value }: Sum): string | null {
  const text = value.trim();
  if (text === '' || (checked !== 'checksum' && checked !== 'differs')) return null;
  const digits = CHECKSUMS.find((one) => one.value === kind)?.digits ?? 0;
  return new RegExp(`^[0-9a-fA-F]{${digits}}$`).test(text)
    ? null
    : `This kind has ${digits} digits, 0 to 9 and a to f; ${text.length} are typed.`;
}

function Checking(props: {
  checked: Checked;
  sum: Sum;
  onChecked: (checked: Checked) => void;
  onSum: (sum: Sum) => void;
}): JSX.Element {
  const { checked, sum, onChecked, onSum } = props;
  const problem = sumProblem(checked, sum);
  const withSum = checked === 'checksum' || checked === 'differs';
  return (
    <>
      <ChoiceBox
        label="How it was compared with the card"
        help="By checksum and by eye both count as verified; an eye sees no single wrong byte."
        options={CHECKS.map((value) => ({ value, label: checkWords(value) }))}
        chosen={checked}
        onChoose={onChecked}
      />
      {withSum && (
        <>
          <ChoiceBox
            label="Kind of checksum"
            help="As the program that copied names it in its report."
            options={CHECKSUMS}
            chosen={sum.kind}
            onChoose={(kind) => onSum({ ...sum, kind })}
          />
          <TextBox
            class="entry cards-sum"
            label="Its value, where it was noted"
            help="Left open, the kind alone is recorded."
            max={80}
            value={sum.value}
            problem={problem}
            onText={(value) => onSum({ ...sum, value })}
          />
        </>
      )}
    </>
  );
}
