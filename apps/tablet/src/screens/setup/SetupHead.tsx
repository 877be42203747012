import { placeOfSetup, sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { ScreenLink } from '../../app/links.tsx';
import { STATE_WORDS, setState } from '../../board/acts.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Icon } from '../../parts/Icon.tsx';
import { Mark } from '../../parts/Mark.tsx';
import { PersonChip } from '../../parts/People.tsx';
import { isLongLabel } from '../../parts/words.ts';
import { SetupDetails } from './later.ts';

const MARKS = { planned: 'planned', inWork: 'work', complete: 'done', dropped: 'planned' } as const;

/** What the setup is, where it stands, who else looks at it, and the way to its neighbours. */
export function SetupHead({ setup }: { setup: string }): JSX.Element {
  const desk = useDesk();
  const [details, setDetails] = useState(false);
  const view = desk.board.view('setups', setup);
  const order = desk.setups.value.map(({ id }) => id);
  const group = desk.groupOf(setup);
  const at = order.indexOf(setup);
  const place = placeOfSetup(desk.board, setup);
  const state = view.state ?? 'planned';
  const label = view.label ?? setup;
  const here = desk.people.value.filter(
    (somebody) =>
      somebody.id !== desk.me.personId &&
      somebody.presence?.screen === 'setup' &&
      somebody.presence.record === setup,
  );
  return (
    <header class="setup-head">
      <div class="setup-title">
        <h1 class="setup-label" data-long={isLongLabel(label)}>
          <span class="unseen">Setup </span>
          <bdi>{label}</bdi>
        </h1>
        <Neighbour setup={order[at - 1]} icon="back" words="Setup before" />
        <Neighbour setup={order[at + 1]} icon="forward" words="Setup after" />
        <div class="setup-about">
          <p class="setup-description">{view.description ?? <span class="muted">No description</span>}</p>
          <p class="label setup-lines">
            {view.scene !== undefined && (
              <span>
                Scene <bdi>{desk.nameOf('scenes', view.scene)}</bdi>{' '}
                <bdi>{desk.board.value('scenes', view.scene, 'title')}</bdi>
              </span>
            )}
            {place !== undefined && <span>{desk.nameOf('places', place)}</span>}
            {group && (
              <ScreenLink screen="match" record={group.name} class="setup-group">
                Cuts with {group.name}
                {group.reference === setup
                  ? ', the reference'
                  : sentence`, matched to ${desk.nameOf('setups', group.reference)}`}
              </ScreenLink>
            )}
          </p>
        </div>
      </div>
      <div class="setup-state">
        <span class="tag" data-state={state} data-tone={state === 'inWork' ? 'accent' : undefined}>
          <Mark name={MARKS[state]} />
          {STATE_WORDS[state]}
        </span>
        {desk.me.role === 'director' && desk.ready.value && (
          <>
            {state === 'planned' && (
              <button type="button" class="act" onClick={() => setState(desk, setup, 'inWork')}>
                Start
              </button>
            )}
            {state === 'inWork' && (
              <button type="button" class="act primary" onClick={() => setState(desk, setup, 'complete')}>
                Mark complete
              </button>
            )}
            {(state === 'complete' || state === 'dropped') && (
              <button type="button" class="act outline" onClick={() => setState(desk, setup, 'inWork')}>
                Open again
              </button>
            )}
            <button type="button" class="act outline" onClick={() => setDetails(true)}>
              Details
            </button>
          </>
        )}
        {here.map((somebody) => (
          <span key={somebody.id} class="row">
            <PersonChip somebody={somebody} />
            <span class="unseen">{somebody.name} is here</span>
          </span>
        ))}
      </div>
      {details && <SetupDetails setup={setup} onClose={() => setDetails(false)} />}
    </header>
  );
}

function Neighbour(props: {
  setup: string | undefined;
  icon: 'back' | 'forward';
  words: string;
}): JSX.Element {
  const { setup, icon, words } = props;
  const desk = useDesk();
  if (setup === undefined) return <span class="setup-neighbour" />;
  return (
    <ScreenLink
      screen="setup"
      record={setup}
      class="act quiet setup-neighbour"
      aria-label={`${words}: ${desk.nameOf('setups', setup)}`}
    >
      <Icon name={icon} />
    </ScreenLink>
  );
}
