import { tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useId, useState } from 'preact/hooks';
import { useBoardPlace } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { addScene, addSetup } from '../../board/adding.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Sheet } from '../../parts/Sheet.tsx';

/** A new setup of the day: a label is enough. */
export function AddSetup(props: {
  scene: string | null;
  day: string | null;
  onClose: () => void;
}): JSX.Element {
  const desk = useDesk();
  const placeOf = useBoardPlace();
  const [label, setLabel] = useState('');
  const [description, setDescription] = useState('');
  const [group, setGroup] = useState('');
  const [scene, setScene] = useState(props.scene);
  const scenes = desk.recordsInUse('scenes');
  const { label: labelField, description: descriptionField, matchGroup } = tables.setups.fields;
  const submit = (event: Event): void => {
    event.preventDefault();
    const record = addSetup(desk, {
      label: label.trim(),
      description: description.trim(),
      scene,
      day: props.day,
      matchGroup: group.trim(),
    });
    if (record === null) return;
    props.onClose();
    go(placeOf('setup', record));
  };
  return (
    <Sheet title="Add a setup" onClose={props.onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        <TextRow label={labelField.label} help={labelField.help} max={20} value={label} onText={setLabel} />
        <TextRow
          label={descriptionField.label}
          help={descriptionField.help}
          max={300}
          value={description}
          onText={setDescription}
        />
        <TextRow label={matchGroup.label} help={matchGroup.help} max={20} value={group} onText={setGroup} />
        {scenes.length > 0 && (
          <fieldset class="stack">
            <legend class="label">Scene</legend>
            <div class="options">
              {scenes.map((id) => (
                <button
                  key={id}
                  type="button"
                  aria-pressed={scene === id}
                  onClick={() => setScene(scene === id ? null : id)}
                >
                  {desk.nameOf('scenes', id)} {desk.board.value('scenes', id, 'title')}
                </button>
              ))}
            </div>
          </fieldset>
        )}
        <button type="submit" class="act primary" disabled={label.trim() === ''}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}

/** A new scene: a number is enough. */
export function AddScene({ onClose }: { onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const [number, setNumber] = useState('');
  const [title, setTitle] = useState('');
  const [place, setPlace] = useState<string | null>(null);
  const places = desk.recordsInUse('places');
  const { number: numberField, title: titleField } = tables.scenes.fields;
  const submit = (event: Event): void => {
    event.preventDefault();
    if (addScene(desk, { number: number.trim(), title: title.trim(), place }) !== null) onClose();
  };
  return (
    <Sheet title="Add a scene" onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        <TextRow
          label={numberField.label}
          help={numberField.help}
          max={12}
          value={number}
          onText={setNumber}
        />
        <TextRow label={titleField.label} help={titleField.help} max={120} value={title} onText={setTitle} />
        {places.length > 0 && (
          <fieldset class="stack">
            <legend class="label">Place</legend>
            <div class="options">
              {places.map((id) => (
                <button
                  key={id}
                  type="button"
                  aria-pressed={place === id}
                  onClick={() => setPlace(place === id ? null : id)}
                >
                  {desk.nameOf('places', id)}
                </button>
              ))}
            </div>
          </fieldset>
        )}
        <button type="submit" class="act primary" disabled={number.trim() === ''}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}

function TextRow(props: {
  label: string;
  help: string;
  max: number;
  value: string;
  onText: (text: string) => void;
}): JSX.Element {
  const id = useId();
  return (
    <div class="stack">
      <label class="label" for={id}>
        {props.label}
      </label>
      <input
        id={id}
        class="entry"
        dir="auto"
        maxLength={props.max}
        value={props.value}
        aria-describedby={`${id}-help`}
        onInput={(event) => props.onText(event.currentTarget.value)}
      />
      <p id={`${id}-help`} class="label">
        {props.help}
      </p>
    </div>
  );
}
