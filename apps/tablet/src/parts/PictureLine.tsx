import { captureRate } from '@plumbline/shared';
import type { JSX } from 'preact';
import { declared } from '../board/desk.ts';
import { useDesk } from '../board/useDesk.ts';
import { show } from '../values/showing.ts';
import { Value } from './Value.tsx';

const SUMMARY = [
  'aperture',
  'shutter',
  'iso',
  'gainDb',
  'ndDensity',
  'whiteBalanceK',
  'focalLengthMm',
] as const;

/** A camera's settings in one line. */
export function PictureLine({ record, camera }: { record: string; camera: string }): JSX.Element {
  const desk = useDesk();
  const view = desk.board.view('picture', record);
  const rate = captureRate(desk.board, record);
  return (
    <span class="picture-line">
      <span class="camera-letter">{camera}</span>
      {SUMMARY.map((name) => {
        const value = view[name];
        const field = declared({ table: 'picture', field: name });
        if (value === undefined || !field) return null;
        const shown = show(field, value, { rate });
        return (
          <Value key={name} shown={name === 'ndDensity' ? { before: 'ND ', main: shown.main } : shown} />
        );
      })}
    </span>
  );
}
