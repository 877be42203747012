import { sentence, tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useBoardPlace } from '../../app/links.tsx';
import { go } from '../../app/navigation.ts';
import { addScene, addSetup } from '../../board/adding.ts';
import { useDesk } from '../../board/useDesk.ts';
import { ChoiceBox, TextBox } from '../../parts/Box.tsx';
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
  const {
    label: labelField,
    description: descriptionField,
    matchGroup,
    scene: sceneField,
  } = tables.setups.fields;
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
        <TextBox label={labelField.label} help={labelField.help} max={20} value={label} onText={setLabel} />
        <TextBox
          label={descriptionField.label}
          help={descriptionField.help}
          max={300}
          value={description}
          onText={setDescription}
        />
        <TextBox label={matchGroup.label} help={matchGroup.help} max={20} value={group} onText={setGroup} />
        {scenes.length > 0 && (
          <ChoiceBox
            label={sceneField.label}
            help={sceneField.help}
            options={scenes.map((id) => ({
              value: id,
              label: sentence`${desk.nameOf('scenes', id)} ${desk.board.value('scenes', id, 'title') ?? ''}`,
            }))}
            chosen={scene}
            onChoose={(id) => setScene(scene === id ? null : id)}
          />
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
  const { number: numberField, title: titleField, place: placeField } = tables.scenes.fields;
  const submit = (event: Event): void => {
    event.preventDefault();
    if (addScene(desk, { number: number.trim(), title: title.trim(), place }) !== null) onClose();
  };
  return (
    <Sheet title="Add a scene" onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        <TextBox
          label={numberField.label}
          help={numberField.help}
          max={12}
          value={number}
          onText={setNumber}
        />
        <TextBox label={titleField.label} help={titleField.help} max={120} value={title} onText={setTitle} />
        {places.length > 0 && (
          <ChoiceBox
            label={placeField.label}
            help={placeField.help}
            options={places.map((id) => ({ value: id, label: desk.nameOf('places', id) }))}
            chosen={place}
            onChoose={(id) => setPlace(place === id ? null : id)}
          />
        )}
        <button type="submit" class="act primary" disabled={number.trim() === ''}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}
