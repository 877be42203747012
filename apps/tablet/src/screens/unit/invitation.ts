/** Whether an address names the device that a page runs on. */
function isThisDevice(host: string): boolean {
  return host === 'localhost' || host === '[::1]' || host.startsWith('127.');
}

/**
 * The addresses that a second device may reach the base at, the likeliest first: the one this page has it from, unless
 * that only holds on the base's own machine, and then those the base knows of.
 */
export function waysIn(page: URL, known: readonly string[]): readonly string[] {
  const own = isThisDevice(page.hostname) ? [] : [page.origin];
  return [...new Set([...own, ...known])];
}
