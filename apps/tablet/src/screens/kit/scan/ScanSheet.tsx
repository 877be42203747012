import { readCode, readLabel } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { useBoardPlace } from '../../../app/links.tsx';
import { go } from '../../../app/navigation.ts';
import { Sheet } from '../../../parts/Sheet.tsx';
import { itemAddress } from '../address.ts';
import { type ListRow, useKit } from '../custody/kitDesk.ts';
import { codeReader } from './reader.ts';

/** The least pause between two looks, ms; one that took longer is followed by a pause as long, to leave time for the rest. */
const LEAST_PAUSE_MS = 80;

type Camera =
  | { readonly kind: 'starting' }
  | { readonly kind: 'looking' }
  | { readonly kind: 'none'; readonly sentence: string };

/** Finds an item by its label: through the camera where the browser allows it, and by its short code everywhere. */
export function ScanSheet({ onClose }: { onClose: () => void }): JSX.Element {
  const kit = useKit();
  const place = useBoardPlace();
  const id = useId();
  const video = useRef<HTMLVideoElement>(null);
  const [camera, setCamera] = useState<Camera>({ kind: 'starting' });
  const [text, setText] = useState('');
  const [several, setSeveral] = useState<readonly ListRow[]>([]);
  const [said, setSaid] = useState<string | null>(null);

  const open = (row: ListRow): void => {
    onClose();
    go(place('kit', itemAddress(row.id)));
  };
  const find = (code: string): boolean => {
    const found = kit.rows.peek().filter((row) => row.code === code);
    const [only] = found;
    if (only && found.length === 1) {
      open(only);
      return true;
    }
    if (found.length > 1) setSeveral(found);
    else setSaid(`No item of this kit has the code ${code}.`);
    return found.length > 1;
  };

  useEffect(() => {
    let closed = false;
    let stream: MediaStream | null = null;
    const look = async (): Promise<void> => {
      if (!window.isSecureContext || !navigator.mediaDevices?.getUserMedia) {
        setCamera({
          kind: 'none',
          sentence: 'This browser gives its camera only to a secure address (https).',
        });
        return;
      }
      try {
        stream = await navigator.mediaDevices.getUserMedia({
          video: { facingMode: 'environment', width: { ideal: 1280 } },
          audio: false,
        });
        const reader = await codeReader();
        const frame = video.current;
        if (closed || !frame) return;
        frame.srcObject = stream;
        await frame.play();
        setCamera({ kind: 'looking' });
        while (!closed) {
          const began = performance.now();
          const read = await reader.read(frame).catch(() => null);
          if (closed) return;
          const code = read === null ? null : readLabel(read);
          if (code !== null && find(code)) return;
          if (read !== null && code === null) setSaid('That is not a label of this kit.');
          const pause = Math.max(LEAST_PAUSE_MS, performance.now() - began);
          await new Promise((resolve) => setTimeout(resolve, pause));
        }
      } catch {
        if (!closed)
          setCamera({ kind: 'none', sentence: 'The camera cannot be used here, or was not allowed.' });
      } finally {
        if (closed) stop();
      }
    };
    const stop = (): void => {
      for (const track of stream?.getTracks() ?? []) track.stop();
    };
    void look();
    return () => {
      closed = true;
      stop();
    };
  }, []);

  const reading = readCode(text);
  const wrong = reading.kind === 'wrong' && text !== '';
  return (
    <Sheet title="Find by its label" onClose={onClose}>
      {camera.kind === 'none' ? (
        <p class="muted">{camera.sentence} Type the code instead.</p>
      ) : (
        // no sound is ever recorded or played
        <video ref={video} class="kit-video" muted playsInline aria-label="What the camera sees" />
      )}
      {camera.kind === 'looking' && <p class="label">Hold the label in front of the camera.</p>}
      {several.length > 0 && (
        <div class="options">
          {several.map((row) => (
            <button key={row.id} type="button" onClick={() => open(row)}>
              {row.name} {row.item.serial ?? ''}
            </button>
          ))}
        </div>
      )}
      <form
        class="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (reading.kind === 'code') find(reading.code);
        }}
      >
        <label class="label" for={id}>
          The code on the label
        </label>
        <input
          id={id}
          class="entry large"
          value={text}
          placeholder="K7MA-4PX2"
          autoComplete="off"
          autoCapitalize="characters"
          spellcheck={false}
          maxLength={12}
          aria-invalid={wrong}
          aria-describedby={`${id}-said`}
          onInput={(event) => {
            setText(event.currentTarget.value);
            setSaid(null);
          }}
        />
        <p
          id={`${id}-said`}
          class="reads"
          data-wrong={wrong || said !== null}
          role={wrong || said !== null ? 'alert' : undefined}
        >
          {wrong
            ? reading.sentence
            : (said ?? 'Eight letters and digits; capitals and the dash do not matter.')}
        </p>
        <button type="submit" class="act primary" disabled={reading.kind !== 'code'}>
          Find it
        </button>
      </form>
    </Sheet>
  );
}
