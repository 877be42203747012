/** What the keyboard can be on. */
const FOCUSABLE =
  'a[href], button:not(:disabled), input:not(:disabled), textarea:not(:disabled), select:not(:disabled), summary, [tabindex]';

/** For so long after the keyboard has come somewhere, what appears above does not push that out of view, ms. */
const SETTLING_MS = 1000;

/**
 * Sees to it that the keyboard is never nowhere. Where what had it was moved, it goes along; where that was taken away or
 * switched off, it goes to what stands nearest. Browsers put it on the page as a whole, and with it whoever works by keys
 * or by ear back to the top.
 *
 * @returns how to stop
 */
export function keepFocus(root: HTMLElement): () => void {
  let last: HTMLElement | null = null;
  let cameAt = Number.NEGATIVE_INFINITY;
  const note = (event: FocusEvent): void => {
    if (!(event.target instanceof HTMLElement)) return;
    last = event.target;
    cameAt = performance.now();
  };
  // a finger that comes down beside everything means to leave it
  const leave = (): void => {
    last = null;
  };
  const observer = new MutationObserver((records) => {
    const had = last;
    if (!had) return;
    if (!isNowhere(had)) {
      if (performance.now() - cameAt < SETTLING_MS && isPushedOut(had))
        had.scrollIntoView({ block: 'nearest' });
      return;
    }
    if (take(had)) return;
    for (const near of nearTo(had, records)) if (take(near)) return;
    const page = document.querySelector<HTMLElement>('main');
    if (page) take(page);
  });
  root.addEventListener('focusin', note);
  root.addEventListener('pointerdown', leave, { capture: true });
  observer.observe(root, {
    subtree: true,
    childList: true,
    attributes: true,
    attributeFilter: ['disabled', 'open'],
  });
  return () => {
    observer.disconnect();
    root.removeEventListener('focusin', note);
    root.removeEventListener('pointerdown', leave, { capture: true });
  };
}

function isNowhere(had: HTMLElement): boolean {
  const { activeElement } = document;
  return activeElement === null || activeElement === document.body || (activeElement === had && isOff(had));
}

function isOff(element: HTMLElement): boolean {
  return element.matches(':disabled');
}

/** Whether the keyboard is on something that is not to be seen; a whole screen never is. */
function isPushedOut(element: HTMLElement): boolean {
  const { top, bottom } = element.getBoundingClientRect();
  return (bottom <= 0 || top >= innerHeight) && element.matches(':focus-visible') && !element.matches('main');
}

function take(element: HTMLElement): boolean {
  if (!element.isConnected || isOff(element)) return false;
  element.focus({ preventScroll: element.matches('main') });
  return document.activeElement === element;
}

/** What could have the keyboard instead, nearest first: what follows, what is before, what is around. */
function* nearTo(had: HTMLElement, records: readonly MutationRecord[]): Generator<HTMLElement> {
  const gone = records.findLast(
    ({ target, removedNodes }) =>
      target.isConnected && [...removedNodes].some((node) => node === had || node.contains(had)),
  );
  const parent = gone?.target ?? had.parentElement;
  if (gone) yield* around(gone.nextSibling, gone.previousSibling);
  else yield* around(had.nextSibling, had.previousSibling);
  for (let each = parent; each instanceof HTMLElement && each !== document.body; each = each.parentElement) {
    yield* within(each);
    yield* around(each.nextSibling, each.previousSibling);
  }
}

function* around(next: Node | null, previous: Node | null): Generator<HTMLElement> {
  for (let node = next; node; node = node.nextSibling) yield* within(node);
  for (let node = previous; node; node = node.previousSibling) yield* [...within(node)].reverse();
}

function* within(node: Node): Generator<HTMLElement> {
  if (!(node instanceof HTMLElement) || !node.isConnected) return;
  if (node.matches(FOCUSABLE)) yield node;
  for (const each of node.querySelectorAll<HTMLElement>(FOCUSABLE)) {
    if (each.checkVisibility()) yield each;
  }
}
