import { placeOfSetup, type SetupView, type ShootReader } from '@plumbline/shared';
import { isOnDay } from '../../board/days.ts';

/** A line of the day: a place, a scene, or a setup. `id` is its key among its kind. */
export type DayItem =
  | { readonly kind: 'place'; readonly id: string; readonly place: string | null }
  | { readonly kind: 'scene'; readonly id: string; readonly scene: string | null }
  | { readonly kind: 'setup'; readonly id: string };

/**
 * The setups of a day in shooting order, with a heading wherever the unit moves to another place or scene. A setup that
 * is planned for no day belongs to every one.
 *
 * @param setups in shooting order
 */
export function dayItems(
  reader: ShootReader,
  setups: readonly SetupView[],
  day: string | undefined,
): DayItem[] {
  const items: DayItem[] = [];
  let place: string | null | undefined;
  let scene: string | null | undefined;
  let first = '';
  for (const { id, view } of setups) {
    if (!isOnDay(view, day)) continue;
    const atPlace = placeOfSetup(reader, id) ?? null;
    const ofScene = view.scene ?? null;
    // keyed by the first setup under it: a place can come twice in a day
    if (first === '' || atPlace !== place) {
      items.push({ kind: 'place', id, place: atPlace });
      scene = undefined;
    }
    if (ofScene !== scene) items.push({ kind: 'scene', id, scene: ofScene });
    place = atPlace;
    scene = ofScene;
    first = id;
    items.push({ kind: 'setup', id });
  }
  return items;
}
