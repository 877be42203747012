import type { ComponentChildren, JSX } from 'preact';
import { useId, useLayoutEffect, useRef } from 'preact/hooks';
import { Icon } from './Icon.tsx';

/** A sheet over the screen: it keeps the keyboard inside, Escape and a touch beside it close it. */
export function Sheet(props: {
  title: string;
  onClose: () => void;
  wide?: boolean;
  children: ComponentChildren;
}): JSX.Element {
  const dialog = useRef<HTMLDialogElement>(null);
  const title = useId();
  // before the effects of what is in it, one of which may want the keyboard
  useLayoutEffect(() => {
    const before = document.activeElement;
    const opened = dialog.current;
    opened?.showModal();
    return () => {
      // while it is open nothing else can have the keyboard
      opened?.close();
      if (!(before instanceof HTMLElement) || !before.isConnected) return;
      before.focus();
      // what was done in the sheet may have pushed it out of view
      requestAnimationFrame(() => {
        if (document.activeElement === before) before.scrollIntoView({ block: 'nearest' });
      });
    };
  }, []);
  return (
    <dialog
      ref={dialog}
      class={props.wide ? 'sheet wide' : 'sheet'}
      aria-labelledby={title}
      onCancel={(event) => {
        event.preventDefault();
        props.onClose();
      }}
      onClick={(event) => {
        if (event.target === dialog.current) props.onClose();
      }}
      onKeyDown={(event) => {
        // some browsers close a dialog on a second Escape without asking
        if (event.key === 'Escape') {
          event.preventDefault();
          event.stopPropagation();
          props.onClose();
        }
      }}
    >
      <div class="sheet-head">
        <h2 id={title}>{props.title}</h2>
        <button type="button" class="act quiet" onClick={props.onClose} aria-label="Close">
          <Icon name="close" />
        </button>
      </div>
      <div class="sheet-body">{props.children}</div>
    </dialog>
  );
}
