import { computed } from '@preact/signals';
import { useMemo } from 'preact/hooks';

/**
 * A value derived from signals, computed again when one that it read changes, or one of `inputs`: unlike
 * `useComputed`, which goes on with the inputs it was first given.
 */
export function useDerived<T>(derive: () => T, inputs: readonly unknown[]): T {
  return useMemo(() => computed(derive), inputs).value;
}
