import type { JSX, TargetedEvent } from 'preact';
import { useRef, useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { counted } from '../../../parts/words.ts';
import { AddPhoto } from './AddPhoto.tsx';
import { PhotoSheet } from './PhotoSheet.tsx';
import { Picture } from './Picture.tsx';
import { pictureQueue } from './queue.ts';
import { Sketch } from './Sketch.tsx';

/** Photographs and sketches of a record, `places/mill`: shown, added, and how many are still to be stored. */
export function Photos({ about }: { about: string }): JSX.Element {
  const desk = useDesk();
  const board = desk.connection.membership.boardId;
  const [file, setFile] = useState<File | null>(null);
  const [drawing, setDrawing] = useState(false);
  const [shown, setShown] = useState<string | null>(null);
  const camera = useRef<HTMLInputElement>(null);
  const gallery = useRef<HTMLInputElement>(null);
  const photos = useDerived(
    () =>
      desk.board
        .records('photos')
        .map((id) => ({ id, view: desk.board.view('photos', id) }))
        .filter(({ view }) => view.about === about && view.retired !== true && view.hash !== undefined)
        .sort((a, b) => (b.view.takenAt ?? 0) - (a.view.takenAt ?? 0)),
    [desk, about],
  );
  const waiting = useDerived(
    () =>
      photos.filter(({ view }) =>
        [view.hash, view.thumbHash].some(
          (hash) => hash !== undefined && pictureQueue().stateOf(board, hash)?.state === 'waiting',
        ),
      ).length,
    [photos, board],
  );
  const editable = desk.ready.value && desk.mayWrite({ table: 'photos', record: 'new', field: 'hash' });
  const take = (event: TargetedEvent<HTMLInputElement>): void => {
    setFile(event.currentTarget.files?.[0] ?? null);
    // the same file chosen again is a change again
    event.currentTarget.value = '';
  };
  return (
    <section
      class="section"
      aria-label="Photographs and sketches"
      data-photos={photos.length}
      data-unsent={waiting}
    >
      <h2>Photographs and sketches</h2>
      {editable && (
        <div class="row wrap">
          <button type="button" class="act outline" onClick={() => camera.current?.click()}>
            Take a photograph
          </button>
          <button type="button" class="act outline" onClick={() => gallery.current?.click()}>
            From this device
          </button>
          <button type="button" class="act outline" onClick={() => setDrawing(true)}>
            <Icon name="note" />
            Sketch
          </button>
          <input
            ref={camera}
            class="unseen"
            type="file"
            accept="image/*"
            capture="environment"
            tabIndex={-1}
            aria-hidden="true"
            data-take="camera"
            onChange={take}
          />
          <input
            ref={gallery}
            class="unseen"
            type="file"
            accept="image/*"
            tabIndex={-1}
            aria-hidden="true"
            data-take="device"
            onChange={take}
          />
        </div>
      )}
      {waiting > 0 && (
        <p class="label" role="status">
          {counted(waiting, 'picture')} waiting to be stored. They stay on this device until the base has
          them.
        </p>
      )}
      {photos.length === 0 && <p class="muted">No photograph or sketch yet.</p>}
      <ul class="photo-grid">
        {photos.map(({ id, view }) => {
          const unsent = view.hash === undefined ? undefined : pictureQueue().stateOf(board, view.hash);
          const alt = view.caption ?? (view.kind === 'sketch' ? 'Sketch' : 'Photograph');
          return (
            <li key={id}>
              <button type="button" class="photo" data-photo={id} onClick={() => setShown(id)}>
                <Picture hash={view.thumbHash ?? view.hash ?? ''} alt={alt} />
                <span class="clip">{view.caption ?? (view.kind === 'sketch' ? 'Sketch' : 'No caption')}</span>
                {unsent && (
                  <span class="tag" data-tone={unsent.state === 'refused' ? 'fault' : 'advice'}>
                    {unsent.state === 'refused' ? 'not taken' : 'waiting to be stored'}
                  </span>
                )}
              </button>
            </li>
          );
        })}
      </ul>
      {file && <AddPhoto about={about} file={file} onClose={() => setFile(null)} />}
      {drawing && <Sketch about={about} onClose={() => setDrawing(false)} />}
      {shown !== null && <PhotoSheet photo={shown} onClose={() => setShown(null)} />}
    </section>
  );
}
