import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';

const painted = signal(false);

/**
 * Whether this page has painted a screen: once for each page, what stands below its first rows waits for that. From then
 * on screens are drawn whole.
 */
export function useFirstPainted(): boolean {
  useEffect(() => {
    if (painted.peek()) return;
    const frame = requestAnimationFrame(() => {
      setTimeout(() => {
        painted.value = true;
      });
    });
    return () => cancelAnimationFrame(frame);
  }, []);
  return painted.value;
}
