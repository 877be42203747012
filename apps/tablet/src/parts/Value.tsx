import type { JSX } from 'preact';
import type { Shown } from '../values/showing.ts';

/** A value: the figure large, its unit smaller; words in running text. */
export function Value({ shown }: { shown: Shown }): JSX.Element {
  if (shown.words)
    return (
      <span class="words" dir="auto">
        {shown.main}
      </span>
    );
  return (
    <span class="number">
      {shown.before && <span class="unit before">{shown.before}</span>}
      {shown.main}
      {shown.unit && <span class={shown.unit === '°' ? 'unit degree' : 'unit'}>{shown.unit}</span>}
    </span>
  );
}
