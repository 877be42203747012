import { addressKey, type Cell } from '@plumbline/replica';
import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { changesFor, fieldName, type ShootAddress } from '../board/address.ts';
import { declared } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import { inWords, type ShowingContext, type Shown, show } from '../values/showing.ts';
import { type EnteringContext, isStepped, step } from '../values/stepping.ts';
import { Contested } from './Contested.tsx';
import { Icon } from './Icon.tsx';
import { EntrySheet } from './lazySheets.ts';
import { Mark } from './Mark.tsx';
import { Stepper } from './Stepper.tsx';
import { useDerived } from './useDerived.ts';
import { Value } from './Value.tsx';

const FRESH_MS = 1800;

/** Whether somebody else has just set the cell: shown for a moment where it happens, moving nothing. */
function useFresh(cell: Cell | undefined, isMine: (writer: string) => boolean): boolean {
  const known = useRef(cell?.[1] ?? 0);
  const [fresh, setFresh] = useState(false);
  useEffect(() => {
    const stamp = cell?.[1] ?? 0;
    const changed = stamp > known.current;
    known.current = stamp;
    if (!changed || !cell || isMine(cell[2])) return;
    setFresh(true);
    const timer = setTimeout(() => setFresh(false), FRESH_MS);
    return () => clearTimeout(timer);
  }, [cell?.[1]]);
  return fresh;
}

/** `ISO 800` under the label ISO is 800. */
function withoutLabel(shown: Shown, label: string): Shown {
  if (shown.before?.trim() !== label) return shown;
  const { before: _, ...rest } = shown;
  return rest;
}

/**
 * A cell of the board: its label, its value with its unit, and for those who may write it the steppers and the typing.
 * Others read it.
 */
export function Field(props: {
  address: ShootAddress;
  /** Whose field it is, for screen readers: `camera A`. */
  of?: string;
  label?: string;
  showing?: Partial<ShowingContext>;
  entering?: EnteringContext;
  class?: string;
}): JSX.Element | null {
  const { address, of, entering = {} } = props;
  const desk = useDesk();
  const [open, setOpen] = useState(false);
  const field = declared(address);
  const cell = desk.board.cell(address.table, address.record, address.field).value;
  const fresh = useFresh(cell, (writer) => desk.writerName(writer) === 'you');
  const key = addressKey(address);
  // Single words, so that a finding elsewhere draws no field anew.
  const severity = useDerived(() => desk.findingOf(address)?.severity, [desk, key]);
  const first = useDerived(() => desk.findingOf(address)?.first, [desk, key]);
  const asked = useDerived(() => desk.judging.askedCells.value.get(key)?.value, [desk, key]);
  if (!field) return null;

  const value = cell?.[0] ?? null;
  const showing = desk.showing(props.showing);
  const shown = value === null ? null : show(field, value, showing);
  const label = props.label ?? field.label;
  const named = of === undefined ? label : sentence`${label}, ${of}`;
  const words = inWords(field, value, showing);
  const editable = desk.ready.value && desk.mayWrite(address);
  const stepped = editable && isStepped(field);
  const contest = desk.contestOf(address);
  const take = (direction: 1 | -1): (() => void) | null => {
    const next = value === null ? null : step(field, value, direction, entering);
    if (next === null) return null;
    return () => desk.set(named, changesFor(address, next, desk.now()));
  };
  const body = (
    <>
      <span class="label">
        <span class="clip">{label}</span>
      </span>
      {shown ? <Value shown={withoutLabel(shown, label)} /> : <span class="unset">Not set</span>}
      {shown?.beside && <span class="beside">{shown.beside}</span>}
      {asked !== undefined && (
        <span class="field-asked">
          <Icon name="ask" />
          <span class="clip">asked for: {inWords(field, asked, showing)}</span>
        </span>
      )}
    </>
  );
  const classes = ['field', stepped ? 'stepped' : '', editable ? '' : 'read', props.class ?? ''];
  return (
    <div
      class={classes.filter((name) => name !== '').join(' ')}
      data-field={fieldName(address)}
      data-value={words}
      data-severity={severity}
      data-first={first}
      data-contested={contest ? '' : undefined}
      data-asked={asked === undefined ? undefined : inWords(field, asked, showing)}
      data-fresh={fresh ? '' : undefined}
    >
      {severity && <Mark name={severity} />}
      {stepped && <Stepper direction={-1} label={named} act={take(-1)} />}
      {editable ? (
        <button
          type="button"
          class="field-value"
          aria-label={`${named}: ${words}`}
          onClick={() => setOpen(true)}
        >
          {body}
        </button>
      ) : (
        <div class="field-value">{body}</div>
      )}
      {stepped && <Stepper direction={1} label={named} act={take(1)} />}
      {contest && <Contested address={address} contest={contest} editable={editable} />}
      {open && (
        <EntrySheet
          address={address}
          field={field}
          title={named}
          cell={cell}
          showing={showing}
          entering={entering}
          onClose={() => setOpen(false)}
        />
      )}
    </div>
  );
}
