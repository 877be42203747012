import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { handySheet, openHandy } from '../../app/handy.ts';
import { keepFocus } from '../../app/keepFocus.ts';
import { useBoardPlace } from '../../app/links.tsx';
import { go, place } from '../../app/navigation.ts';
import type { Screen } from '../../app/places.ts';
import type { Desk } from '../../board/desk.ts';
import { useDesk } from '../../board/useDesk.ts';
import { FindSheet } from './FindSheet.tsx';
import { KeysSheet } from './KeysSheet.tsx';
import { type Command, commandOf, SECOND_KEY_MS, singleKeys } from './keys.ts';
import { reveal } from './reveal.ts';

/** What is at hand on every screen: search, shortcuts, the part of a page that a link means, and a place for the keyboard. */
export function Handy({ screen }: { screen: Screen }): JSX.Element | null {
  const desk = useDesk();
  const placeOf = useBoardPlace();
  const here = place.value;
  const part = here.kind === 'board' ? here.part : undefined;
  useEffect(() => keepFocus(document.body), []);
  useEffect(() => (part === undefined ? undefined : reveal(part)), [here]);
  useEffect(() => {
    let goPressedAt = Number.NEGATIVE_INFINITY;
    const press = (event: KeyboardEvent): void => {
      if (event.isComposing || event.defaultPrevented) return;
      const command = commandOf(event, {
        screen,
        single: singleKeys.peek(),
        isTyping: isTyping(event.target),
        afterGo: event.timeStamp - goPressedAt < SECOND_KEY_MS,
      });
      goPressedAt = command === 'go' ? event.timeStamp : Number.NEGATIVE_INFINITY;
      if (command === null) return;
      event.preventDefault();
      if (command !== 'go') obey(command);
    };
    const obey = (command: Command): void => {
      switch (command.kind) {
        case 'find':
        case 'keys':
          openHandy(command.kind);
          return;
        case 'go':
          go(placeOf(command.screen));
          return;
        case 'setup': {
          const to = setupBeside(desk, command.step);
          if (to !== null) go(placeOf(screen, to));
          return;
        }
        case 'roll':
          // through the button itself: what stands against it is asked there
          document.querySelector<HTMLButtonElement>('main :is([data-cut], [data-roll])')?.click();
      }
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, [desk, screen]);
  const close = (): void => {
    handySheet.value = null;
  };
  if (handySheet.value === 'find') return <FindSheet onClose={close} />;
  return handySheet.value === 'keys' ? <KeysSheet onClose={close} /> : null;
}

/** Whether a key press belongs to something that is being typed in, or to a sheet over the screen. */
function isTyping(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement &&
    (target.isContentEditable || target.closest('input, textarea, select, dialog') !== null)
  );
}

/** The setup before or after the one that is shown, in shooting order. */
function setupBeside(desk: Desk, step: 1 | -1): string | null {
  const here = place.peek();
  const setups = desk.setups.peek();
  const shown = here.kind === 'board' ? here.record : null;
  const at = setups.findIndex(({ id, view }) => (shown === null ? view.state === 'inWork' : id === shown));
  return setups[Math.max(at, 0) + step]?.id ?? null;
}
