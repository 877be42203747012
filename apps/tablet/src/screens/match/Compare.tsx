import { sentence } from '@plumbline/shared';
import { comparedSources, type LiveMatch } from '@plumbline/shared/match';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { setupOf } from '../../board/judging.ts';
import { useDesk } from '../../board/useDesk.ts';
import { FindingCard } from '../../parts/FindingCard.tsx';
import { Sheet } from '../../parts/Sheet.tsx';
import { useDerived } from '../../parts/useDerived.ts';
import { ComparedCamera, ComparedRecorder } from './Compared.tsx';
import './compare.css';

/**
 * Two setups side by side: what the rules say of them and what would mend it, then what differs. Any two of the board;
 * where nothing else is said, a setup beside the reference of its group.
 */
export function Compare(props: {
  live: LiveMatch;
  own: string;
  other: string | null;
  onClose: () => void;
}): JSX.Element {
  const { live, onClose } = props;
  const desk = useDesk();
  const [own, setOwn] = useState(props.own);
  const [chosen, setChosen] = useState(props.other);
  const [whole, setWhole] = useState(false);
  const group = desk.groupOf(own);
  const other = chosen ?? otherOf(own, group);
  const found = desk.judging.found.value;
  const sources = useDerived(
    () => (found && other !== null ? comparedSources(found.board, own, other) : null),
    [found, own, other],
  );
  const isCut = group?.setups.some(({ id }) => id === other) === true;
  const reference = group?.reference ?? null;
  const findings = useDerived(() => {
    const both = new Set([own, other]);
    return desk.judging.findings.value.filter((finding) => both.has(setupOf(finding)));
  }, [desk, own, other]);
  const [ownLabel, otherLabel] = [
    desk.nameOf('setups', own),
    other === null ? '' : desk.nameOf('setups', other),
  ];
  const name = (setup: string): string =>
    `${desk.nameOf('setups', setup)}${setup === reference ? ', the reference' : ''}`;
  return (
    <Sheet
      title={other === null ? ownLabel : sentence`${ownLabel} beside ${otherLabel}`}
      wide
      onClose={onClose}
    >
      <div class="compare-pick">
        <SetupPicker live={live} label="This setup" value={own} onPick={setOwn} hook="own" />
        <SetupPicker live={live} label="beside" value={other} onPick={setChosen} hook="other" />
      </div>
      {other === null && <p class="muted">Choose a setup to hold it against.</p>}
      {other !== null && !isCut && (
        <p class="muted">
          They are in no match group together, so no rule holds them against each other; below is what
          differs.
        </p>
      )}
      {findings.map((finding) => (
        <FindingCard key={finding.id} finding={finding} here={own} />
      ))}
      {isCut && findings.length === 0 && (
        <p class="muted">{found ? 'Nothing found on either.' : 'Not judged yet.'}</p>
      )}
      {other !== null &&
        sources?.cameras.map((camera) => (
          <ComparedCamera key={camera} camera={camera} own={own} other={other} whole={whole} />
        ))}
      {other !== null &&
        sources?.recorders.map((recorder) => (
          <ComparedRecorder key={recorder} recorder={recorder} own={own} other={other} whole={whole} />
        ))}
      <div class="row wrap">
        <ScreenLink screen="setup" record={own} class="act" onFollow={onClose}>
          Open {name(own)}
        </ScreenLink>
        {other !== null && (
          <ScreenLink screen="setup" record={other} class="act" onFollow={onClose}>
            Open {name(other)}
          </ScreenLink>
        )}
        <button type="button" class="act quiet push" aria-pressed={whole} onClick={() => setWhole(!whole)}>
          {whole ? 'Only what differs' : 'All fields'}
        </button>
      </div>
    </Sheet>
  );
}

/** What a setup is held against where nobody says: its reference; for the reference itself, the next of its group. */
function otherOf(
  own: string,
  group: { readonly reference: string; readonly setups: readonly { readonly id: string }[] } | undefined,
): string | null {
  if (!group) return null;
  if (group.reference !== own) return group.reference;
  return group.setups.find(({ id }) => id !== own)?.id ?? null;
}

/** All setups of the board, by group. */
function SetupPicker(props: {
  live: LiveMatch;
  label: string;
  value: string | null;
  hook: string;
  onPick: (setup: string) => void;
}): JSX.Element {
  const { live, label, value, hook, onPick } = props;
  const desk = useDesk();
  const alone = live.alone.value;
  return (
    <label class="compare-picker">
      <span class="label">{label}</span>
      <select
        class="entry"
        data-compare-pick={hook}
        value={value ?? ''}
        onChange={(event) => onPick(event.currentTarget.value)}
      >
        {value === null && <option value="">choose</option>}
        {live.outline.value.map(({ name }) => (
          <optgroup key={name} label={name}>
            {live.group(name).value.columns.map(({ setup, label, isReference }) => (
              <option key={setup} value={setup}>
                {label}
                {isReference ? ', the reference' : ''}
              </option>
            ))}
          </optgroup>
        ))}
        {alone.length > 0 && (
          <optgroup label="In no match group">
            {alone.map((setup) => (
              <option key={setup} value={setup}>
                {desk.nameOf('setups', setup)}
              </option>
            ))}
          </optgroup>
        )}
      </select>
    </label>
  );
}
