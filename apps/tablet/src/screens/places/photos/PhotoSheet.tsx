import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../../../board/useDesk.ts';
import { Field } from '../../../parts/Field.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { writeDay, writeTime } from '../../../values/formats.ts';
import { Picture } from './Picture.tsx';
import { pictureQueue } from './queue.ts';

/** A photograph or sketch large, with what is known of it. */
export function PhotoSheet({ photo, onClose }: { photo: string; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const view = useDerived(() => desk.board.view('photos', photo), [desk, photo]);
  const unsent =
    view.hash === undefined
      ? undefined
      : pictureQueue().stateOf(desk.connection.membership.boardId, view.hash);
  const title = view.caption ?? (view.kind === 'sketch' ? 'Sketch' : 'Photograph');
  const editable = desk.ready.value && desk.mayWrite({ table: 'photos', record: photo, field: 'retired' });
  return (
    <Sheet title={title} wide onClose={onClose}>
      {view.hash !== undefined && <Picture hash={view.hash} alt={title} class="photo-large" />}
      {unsent && (
        <p class="tag" data-tone={unsent.state === 'refused' ? 'fault' : 'advice'}>
          {unsent.state === 'refused' ? `Not taken: ${unsent.reason}` : 'Waiting to be stored'}
        </p>
      )}
      <p class="label">
        {view.by === undefined ? '' : sentence`By ${desk.nameOf('people', view.by)}`}
        {view.takenAt === undefined
          ? ''
          : `, added ${writeDay(view.takenAt, desk.timeZone())} ${writeTime(view.takenAt, desk.timeZone())}`}
        {view.widthPx === undefined ? '' : `, ${view.widthPx} × ${view.heightPx} px`}
      </p>
      {view.latitudeDeg !== undefined && view.longitudeDeg !== undefined && (
        <p class="label" data-taken-at>
          Taken at {view.latitudeDeg}, {view.longitudeDeg}
        </p>
      )}
      <Field address={{ table: 'photos', record: photo, field: 'caption' }} />
      {editable && (
        <button
          type="button"
          class="act outline"
          onClick={() => {
            desk.set(sentence`${title} taken off`, [
              { table: 'photos', record: photo, field: 'retired', value: true },
            ]);
            onClose();
          }}
        >
          Take it off the list
        </button>
      )}
    </Sheet>
  );
}
