import type { ComponentChildren, JSX } from 'preact';
import { useDesk } from '../board/useDesk.ts';
import { go } from './navigation.ts';
import { addressOf, type BoardPlace, type Screen } from './places.ts';

/** The place of a screen on the board that is open. */
export function useBoardPlace(): (screen: Screen, record?: string | null) => BoardPlace {
  const board = useDesk().connection.membership.boardId;
  return (screen, record = null) => ({ kind: 'board', board, screen, record });
}

type LinkProps = {
  screen: Screen;
  record?: string | null;
  class?: string;
  /** Told when the link is followed. */
  onFollow?: (() => void) | undefined;
  children: ComponentChildren;
} & { readonly [name in `data-${string}` | `aria-${string}`]?: string | number | boolean | undefined };

/** A link to a screen: an address like any other, followed without loading the page anew. */
export function ScreenLink({ screen, record = null, onFollow, children, ...rest }: LinkProps): JSX.Element {
  const place = useBoardPlace()(screen, record);
  return (
    <a
      {...rest}
      href={addressOf(place)}
      onClick={(event) => {
        if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
        event.preventDefault();
        onFollow?.();
        go(place);
      }}
    >
      {children}
    </a>
  );
}
