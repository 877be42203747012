import type { JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import { Icon } from '../../../parts/Icon.tsx';

/** The head of a page under the items, with the way back to them. */
export function BackTo({ title }: { title: string }): JSX.Element {
  return (
    <header class="kit-item-head">
      <ScreenLink screen="kit" record="items" class="act quiet" aria-label="All items">
        <Icon name="back" />
      </ScreenLink>
      <h1>{title}</h1>
    </header>
  );
}
