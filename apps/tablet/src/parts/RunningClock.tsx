import { parseFrameRate } from '@plumbline/craft';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { runningTime } from '../values/running.ts';

const STILL = '(prefers-reduced-motion: reduce)';

/** How long something has been running, to the frame; to the second where motion is to be kept low. */
export function RunningClock(props: {
  since: number;
  now: () => number;
  rate: string | undefined;
  class?: string;
}): JSX.Element {
  const { since, now, rate } = props;
  const element = useRef<HTMLSpanElement>(null);
  useEffect(() => {
    const frames = rate === undefined || matchMedia(STILL).matches ? null : parseFrameRate(rate);
    let handle = 0;
    let shown = '';
    // written past the virtual DOM: sixty times a second is no business of the rest of the page
    const tick = (): void => {
      const text = runningTime(Math.max(0, now() - since), frames);
      if (element.current && text !== shown) element.current.textContent = text;
      shown = text;
      handle = requestAnimationFrame(tick);
    };
    tick();
    return () => cancelAnimationFrame(handle);
  }, [since, rate]);
  return <span class={`number ${props.class ?? ''}`} ref={element} aria-hidden="true" />;
}
