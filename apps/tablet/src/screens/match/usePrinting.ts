import { useEffect, useState } from 'preact/hooks';

/** Whether the page is being printed, and a way to begin it. What is only for paper is drawn only then. */
export function usePrinting(): { readonly isPrinting: boolean; readonly print: () => void } {
  const [isPrinting, setPrinting] = useState(() => matchMedia('print').matches);
  useEffect(() => {
    const media = matchMedia('print');
    const follow = (): void => setPrinting(media.matches);
    const begin = (): void => setPrinting(true);
    const end = (): void => setPrinting(false);
    media.addEventListener('change', follow);
    addEventListener('beforeprint', begin);
    addEventListener('afterprint', end);
    return () => {
      media.removeEventListener('change', follow);
      removeEventListener('beforeprint', begin);
      removeEventListener('afterprint', end);
    };
  }, []);
  return {
    isPrinting,
    print: () => {
      setPrinting(true);
      // once it is drawn: two frames, since the first may have begun already
      requestAnimationFrame(() => requestAnimationFrame(() => print()));
    },
  };
}
