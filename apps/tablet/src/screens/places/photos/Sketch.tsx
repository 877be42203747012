import type { JSX, TargetedPointerEvent } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { Sheet } from '../../../parts/Sheet.tsx';
import { counted } from '../../../parts/words.ts';
import { addPicture } from './add.ts';
import { fitted, preparedOf, THUMB_EDGE } from './prepare.ts';
import { drawStrokes, PAPER, type Stroke } from './strokes.ts';

const WIDTHS = [
  { value: 6, label: 'Thin' },
  { value: 18, label: 'Thick' },
] as const;

/** A sheet of paper for a finger: where lamps, windows and people stand. */
export function Sketch({ about, onClose }: { about: string; onClose: () => void }): JSX.Element {
  const desk = useDesk();
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawing = useRef<{ pointer: number; points: { x: number; y: number }[] } | null>(null);
  const [strokes, setStrokes] = useState<readonly Stroke[]>([]);
  const [width, setWidth] = useState<number>(WIDTHS[0].value);
  const [caption, setCaption] = useState('');
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const id = useId();
  const paint = (more: readonly Stroke[] = []): void => {
    const context = canvas.current?.getContext('2d');
    if (context) drawStrokes(context, [...strokes, ...more]);
  };
  useEffect(() => paint(), [strokes]);
  const pointOf = (event: TargetedPointerEvent<HTMLCanvasElement>): { x: number; y: number } => {
    const box = event.currentTarget.getBoundingClientRect();
    return {
      x: ((event.clientX - box.left) / box.width) * PAPER.width,
      y: ((event.clientY - box.top) / box.height) * PAPER.height,
    };
  };
  const down = (event: TargetedPointerEvent<HTMLCanvasElement>): void => {
    if (drawing.current) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    drawing.current = { pointer: event.pointerId, points: [pointOf(event)] };
    paint([{ width, points: drawing.current.points }]);
  };
  const move = (event: TargetedPointerEvent<HTMLCanvasElement>): void => {
    const line = drawing.current;
    if (line === null || line.pointer !== event.pointerId) return;
    line.points.push(pointOf(event));
    paint([{ width, points: line.points }]);
  };
  const up = (event: TargetedPointerEvent<HTMLCanvasElement>): void => {
    const line = drawing.current;
    if (line === null || line.pointer !== event.pointerId) return;
    drawing.current = null;
    setStrokes([...strokes, { width, points: line.points }]);
  };
  const add = async (): Promise<void> => {
    if (!canvas.current) return;
    const picture = await preparedOf(canvas.current, 'image/png');
    const size = fitted(PAPER.width, PAPER.height, THUMB_EDGE);
    const small = document.createElement('canvas');
    small.width = size.width;
    small.height = size.height;
    const context = small.getContext('2d');
    if (context) drawStrokes(context, strokes);
    const thumb = await preparedOf(small, 'image/png');
    const added = await addPicture(desk, {
      about,
      kind: 'sketch',
      picture,
      thumb,
      caption: caption.trim(),
      position: null,
    });
    if (added) onClose();
  };
  return (
    <Sheet title="Sketch" wide onClose={onClose}>
      <canvas
        ref={canvas}
        class="sketch"
        width={PAPER.width}
        height={PAPER.height}
        role="img"
        aria-label={`Sketch with ${counted(strokes.length, 'line')}, drawn by finger or pen`}
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
      />
      <div class="row wrap">
        {WIDTHS.map(({ value, label }) => (
          <button
            key={value}
            type="button"
            class="act"
            aria-pressed={width === value}
            onClick={() => setWidth(value)}
          >
            {label}
          </button>
        ))}
        <button
          type="button"
          class="act outline"
          disabled={strokes.length === 0}
          onClick={() => setStrokes(strokes.slice(0, -1))}
        >
          <Icon name="undo" />
          Last line away
        </button>
      </div>
      <label class="label" for={`${id}-caption`}>
        Caption
      </label>
      <input
        id={`${id}-caption`}
        class="entry"
        dir="auto"
        maxLength={200}
        value={caption}
        onInput={(event) => setCaption(event.currentTarget.value)}
      />
      {problem !== null && (
        <p class="reads" data-wrong="true" role="alert">
          {problem}
        </p>
      )}
      <button
        type="button"
        class="act primary"
        disabled={strokes.length === 0 || busy}
        onClick={() => {
          setBusy(true);
          add()
            .catch(() => setProblem('This device has no room to keep the sketch.'))
            .finally(() => setBusy(false));
        }}
      >
        Add it
      </button>
    </Sheet>
  );
}
