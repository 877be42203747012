import { type ReadonlySignal, signal } from '@preact/signals';
import { addressOf, type Place, readPlace } from './places.ts';

const current = signal<Place>(readPlace(location.pathname, location.hash));

/** Where we are. */
export const place: ReadonlySignal<Place> = current;

/** Goes somewhere. `replace` leaves no way back to where we were. */
export function go(to: Place, replace = false): void {
  const address = addressOf(to);
  if (address === addressOf(current.peek())) return;
  if (replace) history.replaceState(null, '', address);
  else history.pushState(null, '', address);
  current.value = to;
}

/** Follows the browser's own way back and forth. */
export function followHistory(): void {
  const read = (): void => {
    current.value = readPlace(location.pathname, location.hash);
  };
  addEventListener('popstate', read);
  addEventListener('hashchange', read);
}
