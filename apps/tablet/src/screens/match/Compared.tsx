import type { Json } from '@plumbline/replica';
import { compareChannels, compareFelt, comparePictures } from '@plumbline/shared/match';
import type { ComponentChildren, JSX } from 'preact';
import { useDesk } from '../../board/useDesk.ts';
import { useDerived } from '../../parts/useDerived.ts';

interface ComparedProps {
  readonly own: string;
  readonly other: string;
  /** Everything, not only what differs. */
  readonly whole: boolean;
}

/** A camera on two setups: how far apart they are as it is felt, then field by field. */
export function ComparedCamera(props: ComparedProps & { readonly camera: string }): JSX.Element {
  const { camera, own, other, whole } = props;
  const desk = useDesk();
  const found = desk.judging.found.value;
  const fields = useDerived(
    () => comparePictures(desk.board, camera, own, other),
    [desk, camera, own, other],
  );
  const felt = useDerived(
    () => (found ? compareFelt(found.board, camera, own, other) : []),
    [found, camera, own, other],
  );
  const shown = whole ? fields : fields.filter(({ differs }) => differs);
  const apart = felt.filter(({ differs }) => differs);
  return (
    <Compared
      id={camera}
      name={desk.board.value('cameras', camera, 'name') ?? `Camera ${camera}`}
      props={props}
      isEmpty={shown.length === 0}
    >
      {apart.map(({ title, distance }) => (
        <tr key={title} class="compare-felt">
          <th scope="row">{title}</th>
          <td colSpan={2} class="number">
            {distance}
          </td>
        </tr>
      ))}
      {shown.map(({ field, label, own: mine, reference, differs }) => {
        const words = (setup: string, value: Json): string =>
          value === null
            ? 'not set'
            : desk.words({ table: 'picture', record: `${setup}.${camera}`, field }, value);
        return (
          <tr key={field} data-field-compared={field} data-differs={differs}>
            <th scope="row">{label}</th>
            <td class="number">{words(own, mine)}</td>
            <td class="number">{words(other, reference)}</td>
          </tr>
        );
      })}
    </Compared>
  );
}

/** A recorder on two setups, channel by channel. */
export function ComparedRecorder(props: ComparedProps & { readonly recorder: string }): JSX.Element {
  const { recorder, own, other, whole } = props;
  const desk = useDesk();
  const found = desk.judging.found.value;
  const channels = useDerived(
    () => (found ? compareChannels(found.board, recorder, own, other) : []),
    [found, recorder, own, other],
  );
  const shown = whole ? channels : channels.filter(({ differs }) => differs);
  return (
    <Compared
      id={recorder}
      name={desk.board.value('recorders', recorder, 'name') ?? 'Recorder'}
      props={props}
      isEmpty={shown.length === 0}
    >
      {shown.map(({ channel, own: mine, other: theirs, differs }) => (
        <tr key={channel} data-differs={differs}>
          <th scope="row">Channel {channel}</th>
          <td>{mine ?? 'nothing'}</td>
          <td>{theirs ?? 'nothing'}</td>
        </tr>
      ))}
    </Compared>
  );
}

function Compared(props: {
  id: string;
  name: string;
  props: ComparedProps;
  isEmpty: boolean;
  children: ComponentChildren;
}): JSX.Element {
  const desk = useDesk();
  const { own, other } = props.props;
  return (
    <table class="compare" data-compare={`${own}.${props.id}`} data-beside={other}>
      <caption>
        <span class="camera-letter">{props.id}</span> {props.name}
        {props.isEmpty && <span class="muted"> all that is entered is the same</span>}
      </caption>
      {!props.isEmpty && (
        <thead>
          <tr>
            <th scope="col">
              <span class="unseen">What</span>
            </th>
            <th scope="col">{desk.nameOf('setups', own)}</th>
            <th scope="col">{desk.nameOf('setups', other)}</th>
          </tr>
        </thead>
      )}
      <tbody>{props.children}</tbody>
    </table>
  );
}
