import { channelsOf } from '@plumbline/shared';
import type { ComponentChildren, JSX } from 'preact';
import { useState } from 'preact/hooks';
import { flagChannel } from '../board/acts.ts';
import { declared } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import { inWords } from '../values/showing.ts';
import { ChannelSheet } from './ChannelSheet.tsx';
import { Icon } from './Icon.tsx';
import { ReasonSheet } from './lazySheets.ts';
import { Mark } from './Mark.tsx';
import { useDerived } from './useDerived.ts';

/** Faults that are heard most. Common practice, no source. */
const FAULTS = ['Rustle', 'Drop-outs', 'Hum', 'Distorted', 'No signal', 'Too much noise'] as const;

/** The sound channels of a setup. The recordist fills and flags them; the others read them. */
export function Channels({
  setup,
  title = 'Sound',
  children,
}: {
  setup: string;
  title?: string;
  children?: ComponentChildren;
}): JSX.Element {
  const desk = useDesk();
  const rows = useDerived(() => channelRows(desk, setup), [desk, setup]);
  const own = desk.me.role === 'sound';
  const several = new Set(rows.map(({ recorder }) => recorder)).size > 1;
  return (
    <section class="section" aria-label={title}>
      <h2>{title}</h2>
      {rows.length === 0 && (
        <p class="muted">
          {desk.recordsInUse('recorders').length === 0
            ? 'No recorder is on this board yet. The sound department adds it, or it comes with a plan.'
            : 'No channel is entered for this setup yet.'}
        </p>
      )}
      <ul class="channels">
        {rows.map((row) => (
          <Channel key={row.record} row={row} own={own && desk.ready.value} withRecorder={several} />
        ))}
      </ul>
      {children}
    </section>
  );
}

interface Row {
  readonly record: string;
  readonly recorder: string;
  readonly channel: number;
}

/** Channels in use; for the recordist also those that are still empty. */
function channelRows(desk: ReturnType<typeof useDesk>, setup: string): Row[] {
  const used = channelsOf(desk.board, setup).map(({ record, recorder, channel }) => ({
    record,
    recorder,
    channel,
  }));
  if (desk.me.role !== 'sound') return used;
  const known = new Set(used.map(({ record }) => record));
  const empty = desk.recordsInUse('recorders').flatMap((recorder) => {
    const count = desk.board.value('recorders', recorder, 'channels') ?? 0;
    return Array.from({ length: count }, (_, i) => ({
      record: `${setup}.${recorder}.${i + 1}`,
      recorder,
      channel: i + 1,
    }));
  });
  return [...used, ...empty.filter(({ record }) => !known.has(record))].sort((a, b) =>
    a.recorder === b.recorder ? a.channel - b.channel : a.recorder < b.recorder ? -1 : 1,
  );
}

function Channel(props: { row: Row; own: boolean; withRecorder: boolean }): JSX.Element {
  const { row, own, withRecorder } = props;
  const desk = useDesk();
  const [open, setOpen] = useState(false);
  const [flagging, setFlagging] = useState(false);
  const view = desk.board.view('inputs', row.record);
  const state = declared({ table: 'inputs', field: 'state' });
  const flagged = view.state === 'flagged';
  const empty = Object.keys(view).length === 0;
  const severity = (['source', 'secondSource', 'phantom', 'state'] as const)
    .map((field) => desk.findingOf({ table: 'inputs', record: row.record, field })?.severity)
    .find((found) => found !== undefined);
  const body = (
    <>
      <span class="number channel-number">
        {withRecorder && <span class="unit before">{row.recorder}</span>}
        {row.channel}
      </span>
      <span class="channel-words">
        <span class="channel-source">
          {view.source ?? <span class="unset">{empty ? 'Empty' : 'No source'}</span>}
          {view.secondSource !== undefined && (
            <span class="tag" data-tone="fault">
              <Mark name="fault" /> and {view.secondSource}
            </span>
          )}
        </span>
        <span class="label">
          {[view.subject, view.connector && wordOf('connector', view.connector), phantomWord(view.phantom)]
            .filter((word) => word !== undefined && word !== '')
            .join(' · ')}
        </span>
        {flagged && <span class="channel-fault">{view.fault ?? 'No reason given'}</span>}
      </span>
      {view.levelDbfs !== undefined && (
        <span class="number channel-level">
          {String(view.levelDbfs).replace('-', '−')}
          <span class="unit">dBFS</span>
        </span>
      )}
      <span
        class="tag channel-state"
        data-state={view.state ?? 'open'}
        data-tone={flagged ? 'fault' : undefined}
      >
        {flagged && <Mark name="fault" />}
        {view.state === undefined || !state
          ? empty
            ? 'not used'
            : 'open'
          : inWords(state, view.state).toLowerCase()}
      </span>
    </>
  );
  return (
    <li class="channel" data-channel={row.record} data-state={view.state} data-severity={severity}>
      {own ? (
        <button
          type="button"
          class="channel-body"
          aria-label={`Channel ${row.channel}${withRecorder ? `, ${row.recorder}` : ''}: ${view.source ?? 'empty'}`}
          onClick={() => setOpen(true)}
        >
          {body}
        </button>
      ) : (
        <div class="channel-body">{body}</div>
      )}
      {own && !empty && (
        <button
          type="button"
          class={flagged ? 'act channel-flag flagged' : 'act channel-flag'}
          aria-pressed={flagged}
          aria-label={flagged ? `Channel ${row.channel}: mended` : `Flag channel ${row.channel}`}
          onClick={() => (flagged ? flagChannel(desk, row.record, null) : setFlagging(true))}
        >
          <Icon name="flag" />
          <span class="wide-only">{flagged ? 'Mended' : 'Flag'}</span>
        </button>
      )}
      {open && <ChannelSheet record={row.record} channel={row.channel} onClose={() => setOpen(false)} />}
      {flagging && (
        <ReasonSheet
          title={`Flag channel ${row.channel}: what is wrong?`}
          options={FAULTS}
          label="Something else"
          act="Flag it"
          maxLength={200}
          onGive={(fault) => flagChannel(desk, row.record, fault)}
          onClose={() => setFlagging(false)}
        />
      )}
    </li>
  );
}

function wordOf(field: string, value: string): string {
  const declaration = declared({ table: 'inputs', field });
  return declaration ? inWords(declaration, value) : value;
}

function phantomWord(phantom: string | undefined): string {
  if (phantom === undefined) return '';
  return phantom === 'off' ? 'no phantom' : wordOf('phantom', phantom);
}
