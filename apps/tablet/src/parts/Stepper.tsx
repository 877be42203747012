import type { JSX } from 'preact';
import { Icon } from './Icon.tsx';

/** One step down or up, under the thumb. Without an act there is no step further. */
export function Stepper(props: { direction: 1 | -1; label: string; act: (() => void) | null }): JSX.Element {
  const { direction, label, act } = props;
  return (
    <button
      type="button"
      class="step"
      disabled={act === null}
      aria-label={`${label}: ${direction === 1 ? 'up' : 'down'}`}
      onClick={() => act?.()}
    >
      <Icon name={direction === 1 ? 'plus' : 'minus'} />
    </button>
  );
}
