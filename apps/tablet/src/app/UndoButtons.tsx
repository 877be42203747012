import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { useDesk } from '../board/useDesk.ts';
import { Icon } from '../parts/Icon.tsx';
import { Sheet } from '../parts/Sheet.tsx';

/** A finger that rests this long on the button asks for the way forth. */
const HOLD_MS = 500;

/** Whether a key press belongs to something that is being typed in, or to a sheet over the screen. */
function isTyping(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement &&
    (target.isContentEditable || target.closest('input, textarea, select, dialog') !== null)
  );
}

/**
 * Takes one's last edit back, or brings it forth again: two buttons where there is room; on a phone one, which is held
 * for the way forth. Absent for those who set nothing.
 */
export function UndoButtons(): JSX.Element | null {
  const desk = useDesk();
  const [asking, setAsking] = useState(false);
  const held = useRef<ReturnType<typeof setTimeout>>(undefined);
  const wasHeld = useRef(false);
  useEffect(() => {
    const press = (event: KeyboardEvent): void => {
      const key = event.key.toLowerCase();
      if (!(event.ctrlKey || event.metaKey) || event.altKey || isTyping(event.target)) return;
      if (key === 'z') event.shiftKey ? desk.redo() : desk.undo();
      else if (key === 'y' && event.ctrlKey && !event.shiftKey) desk.redo();
      else return;
      event.preventDefault();
    };
    addEventListener('keydown', press);
    return () => {
      removeEventListener('keydown', press);
      clearTimeout(held.current);
    };
  }, [desk]);
  if (desk.me.role === 'producer') return null;
  const last = desk.lastDone.value;
  const next = desk.lastUndone.value;
  const ready = desk.ready.value;
  const stopHold = (): void => clearTimeout(held.current);
  return (
    <>
      <button
        type="button"
        class="bar-chip"
        data-undo=""
        disabled={!ready || (last === undefined && next === undefined)}
        aria-disabled={last === undefined}
        title={last?.label}
        aria-label={last ? `Undo: ${last.label}` : 'Nothing to undo'}
        onPointerDown={() => {
          wasHeld.current = false;
          stopHold();
          held.current = setTimeout(() => {
            wasHeld.current = true;
            setAsking(true);
          }, HOLD_MS);
        }}
        onPointerUp={stopHold}
        onPointerLeave={stopHold}
        onPointerCancel={stopHold}
        onContextMenu={(event) => event.preventDefault()}
        onClick={() => {
          if (wasHeld.current) wasHeld.current = false;
          else if (last) desk.undo();
          else setAsking(true);
        }}
      >
        <Icon name="undo" />
      </button>
      <button
        type="button"
        class="bar-chip wide-only"
        data-redo=""
        disabled={!ready || next === undefined}
        title={next?.label}
        aria-label={next ? `Redo: ${next.label}` : 'Nothing to redo'}
        onClick={() => desk.redo()}
      >
        <Icon name="redo" />
      </button>
      {asking && (
        <Sheet title="Back and forth" onClose={() => setAsking(false)}>
          <Step
            word="Undo"
            what={last?.label}
            act={() => {
              setAsking(false);
              desk.undo();
            }}
          />
          <Step
            word="Redo"
            what={next?.label}
            act={() => {
              setAsking(false);
              desk.redo();
            }}
          />
        </Sheet>
      )}
    </>
  );
}

function Step(props: { word: string; what: string | undefined; act: () => void }): JSX.Element {
  const { word, what, act } = props;
  return (
    <button type="button" class="act" disabled={what === undefined} onClick={act}>
      {what === undefined ? `Nothing to ${word.toLowerCase()}` : `${word}: ${what}`}
    </button>
  );
}
