/** Lets a mouse drag what a finger scrolls. A drag that begins on a button is left to the button. */
export function dragToPan(element: HTMLElement): () => void {
  let from: { readonly x: number; readonly left: number } | null = null;
  const begin = (event: PointerEvent): void => {
    const isOnButton = event.target instanceof Element && event.target.closest('button') !== null;
    if (event.pointerType !== 'mouse' || event.button !== 0 || isOnButton) return;
    from = { x: event.clientX, left: element.scrollLeft };
    element.setPointerCapture(event.pointerId);
    element.dataset.panning = '';
  };
  const move = (event: PointerEvent): void => {
    if (from) element.scrollLeft = from.left - (event.clientX - from.x);
  };
  const end = (): void => {
    from = null;
    delete element.dataset.panning;
  };
  element.addEventListener('pointerdown', begin);
  element.addEventListener('pointermove', move);
  element.addEventListener('pointerup', end);
  element.addEventListener('pointercancel', end);
  return () => {
    element.removeEventListener('pointerdown', begin);
    element.removeEventListener('pointermove', move);
    element.removeEventListener('pointerup', end);
    element.removeEventListener('pointercancel', end);
  };
}
