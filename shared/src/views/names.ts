let collator: Intl.Collator | undefined;

/** Orders names as people do: `Case 2` before `Case 10`. The same on every device, whatever language it is set to. */
export function inNameOrder(a: string, b: string): number {
  // made once: a comparison that makes its own costs a hundred times as much
  collator ??= new Intl.Collator('en', { numeric: true, sensitivity: 'base' });
  return collator.compare(a, b);
}
