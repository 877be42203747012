import type { JSX } from 'preact';
import { encode } from 'uqr';

/**
 * Text as a square code. The quiet zone of four modules around it is part of the drawing; a reader needs it (ISO/IEC
 * 18004).
 */
export function QrCode({ text, label }: { text: string; label: string }): JSX.Element {
  const { data, size } = encode(text, { border: 4, ecc: 'M' });
  const path = data
    .flatMap((row, y) => row.flatMap((dark, x) => (dark ? [`M${x} ${y}h1v1h-1z`] : [])))
    .join('');
  return (
    <svg viewBox={`0 0 ${size} ${size}`} class="label-code" role="img" aria-label={label}>
      <rect width={size} height={size} fill="#fff" />
      <path d={path} fill="#000" shape-rendering="crispEdges" />
    </svg>
  );
}
