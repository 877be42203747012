import { tables } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { TextBox } from '../../../parts/Box.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { addPicture } from './add.ts';
import { positionIn, type TakenPosition } from './gps.ts';
import { drawnAnew, NotReadable, PHOTO_EDGE, type Prepared, readPicture, THUMB_EDGE } from './prepare.ts';

interface Ready {
  readonly picture: Prepared;
  readonly thumb: Prepared;
  readonly position: TakenPosition | null;
  readonly url: string;
}

/** How much of a file its position is looked for in: the Exif block stands at its beginning. */
const HEAD_BYTES = 256 * 1024;

const CAPTION = tables.photos.fields.caption;

/** A photograph before it is added: its caption, and whether it may say where it was taken. */
export function AddPhoto(props: { about: string; file: File; onClose: () => void }): JSX.Element {
  const { about, file, onClose } = props;
  const desk = useDesk();
  const [ready, setReady] = useState<Ready | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [caption, setCaption] = useState('');
  const [withPosition, setWithPosition] = useState(false);
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    let gone = false;
    let url = '';
    const make = async (): Promise<void> => {
      const head = new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer());
      const bitmap = await readPicture(file);
      const picture = await drawnAnew(bitmap, PHOTO_EDGE);
      const thumb = await drawnAnew(bitmap, THUMB_EDGE);
      bitmap.close();
      if (gone) return;
      url = URL.createObjectURL(new Blob([thumb.bytes], { type: thumb.type }));
      setReady({ picture, thumb, position: positionIn(head), url });
    };
    make().catch((error: unknown) => {
      setProblem(error instanceof NotReadable ? error.message : 'This picture cannot be read here.');
    });
    return () => {
      gone = true;
      if (url !== '') URL.revokeObjectURL(url);
    };
  }, [file]);
  const submit = (event: Event): void => {
    event.preventDefault();
    if (!ready || busy) return;
    setBusy(true);
    addPicture(desk, {
      about,
      kind: 'photograph',
      picture: ready.picture,
      thumb: ready.thumb,
      caption: caption.trim(),
      position: withPosition ? ready.position : null,
    })
      .then((added) => {
        if (added) onClose();
        else setBusy(false);
      })
      .catch(() => {
        setBusy(false);
        setProblem('This device has no room to keep the picture.');
      });
  };
  return (
    <Sheet title="Add a photograph" onClose={onClose}>
      <form class="stack" onSubmit={submit} noValidate>
        {ready ? (
          <img class="photo-preview" src={ready.url} alt="What is to be added" />
        ) : (
          <p class="muted" role="status">
            {problem === null ? 'Making it ready…' : ''}
          </p>
        )}
        {problem !== null && (
          <p class="reads" data-wrong="true" role="alert">
            {problem}
          </p>
        )}
        <TextBox label={CAPTION.label} help={CAPTION.help} max={200} value={caption} onText={setCaption} />
        {ready?.position && (
          <label class="tick">
            <input
              type="checkbox"
              checked={withPosition}
              onChange={(event) => setWithPosition(event.currentTarget.checked)}
            />
            <span>
              Keep where it was taken: {ready.position.latitudeDeg}, {ready.position.longitudeDeg}. Everybody
              on the board can read it.
            </span>
          </label>
        )}
        <p class="label">
          {ready
            ? `${ready.picture.widthPx} × ${ready.picture.heightPx} px, ${Math.ceil(ready.picture.bytes.byteLength / 1000)} kB. What else the file says, its position too, is left out.`
            : ''}
        </p>
        <button type="submit" class="act primary" disabled={!ready || busy}>
          Add it
        </button>
      </form>
    </Sheet>
  );
}
