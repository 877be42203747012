/** How long a page may take to show what a link means, ms. */
const LONGEST_MS = 4_000;
const LOOK_EVERY_MS = 60;
const SHOWN_MS = 2_500;

/** What of a page can be meant, by the attribute that names it. */
const KINDS: ReadonlySet<string> = new Set(['take', 'flag', 'battery', 'person', 'ask', 'finding']);

/** Brings a part of the page into view, such as `take.4a.3`, as soon as it is there, and points at it. Returns how to stop. */
export function reveal(part: string): () => void {
  const dot = part.indexOf('.');
  const kind = part.slice(0, dot);
  if (!KINDS.has(kind)) return () => {};
  const selector = `main [data-${kind}="${CSS.escape(part.slice(dot + 1))}"]`;
  const end = performance.now() + LONGEST_MS;
  let timer: ReturnType<typeof setTimeout>;
  const look = (): void => {
    const found = document.querySelector<HTMLElement>(selector);
    if (!found) {
      if (performance.now() < end) timer = setTimeout(look, LOOK_EVERY_MS);
      return;
    }
    found.scrollIntoView({ block: 'center' });
    if (found.tabIndex < 0) found.tabIndex = -1;
    found.focus({ preventScroll: true });
    found.dataset.found = '';
    timer = setTimeout(() => delete found.dataset.found, SHOWN_MS);
  };
  timer = setTimeout(look, LOOK_EVERY_MS);
  return () => clearTimeout(timer);
}
