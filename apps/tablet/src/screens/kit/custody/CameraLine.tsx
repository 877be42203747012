import { sentence } from '@plumbline/shared';
import { type CameraWatch, watchCamera } from '@plumbline/shared/kit';
import type { JSX } from 'preact';
import { ScreenLink } from '../../../app/links.tsx';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Mark, type MarkName } from '../../../parts/Mark.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { itemAddress } from '../address.ts';
import { useKit } from './kitDesk.ts';
import { whenWords, whoWords } from './words.ts';

const MARKS: Readonly<Record<CameraWatch['state'], MarkName>> = {
  held: 'good',
  attended: 'good',
  unattended: 'fault',
  inCase: 'cased',
  disputed: 'break',
  lost: 'fault',
  unknown: 'planned',
};

/** Who is with each camera now, and since when. A camera whose body no item names says so. */
export function CameraLine(): JSX.Element | null {
  const desk = useDesk();
  const kit = useKit();
  const watches = useDerived(() => {
    const bodies = kit.rows.value.filter(({ item }) => item.camera !== undefined);
    return desk.recordsInUse('cameras').map((camera) =>
      watchCamera(
        camera,
        bodies.filter(({ item }) => item.camera === camera),
      ),
    );
  }, [desk, kit]);
  if (watches.length === 0) return null;
  return (
    <ul class="kit-cameras" aria-label="With the cameras">
      {watches.map((watch) => (
        <li key={watch.camera} data-camera-watch={watch.camera} data-state={watch.state}>
          <Mark name={MARKS[watch.state]} />
          <span class="stack">
            <strong>Camera {watch.camera}</strong>
            {watch.item === null ? (
              <span class="label">{watchWords(desk, watch)}</span>
            ) : (
              <ScreenLink screen="kit" record={itemAddress(watch.item)} class="kit-link">
                {watchWords(desk, watch)}
              </ScreenLink>
            )}
          </span>
        </li>
      ))}
    </ul>
  );
}

function watchWords(desk: Desk, { state, person, since }: CameraWatch): string {
  const who = person === null ? 'nobody' : whoWords(desk, person);
  const when = since === null ? '' : sentence` since ${whenWords(desk, since)}`;
  switch (state) {
    case 'held':
      return sentence`with ${who}${when}`;
    case 'attended':
      return sentence`set down, ${who} beside it${when}`;
    case 'unattended':
      return person === null ? `out, nobody is named${when}` : sentence`left alone by ${who}${when}`;
    case 'inCase':
      return 'in its case';
    case 'disputed':
      return 'two stories: say where it is';
    case 'lost':
      return `lost${when}`;
    case 'unknown':
      return 'no item of the kit is its body';
  }
}
