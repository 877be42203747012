import type { ShootReader, ShootRecord } from '../tables/index.ts';

/** A setup with its record id. */
export interface SetupView {
  readonly id: string;
  readonly view: ShootRecord<'setups'>;
}

/** Setups that cut together, in story order, and the one that the others are matched to. */
export interface MatchGroup {
  readonly name: string;
  readonly setups: readonly SetupView[];
  /** The setup that most of the group name as their reference; where none is named, the first in story order. */
  readonly reference: string;
}

const LAST = Number.MAX_SAFE_INTEGER;

/** Names as people count: 2 before 10, 12 before 12a. */
export function byName(a: string, b: string): number {
  const left = a.match(/\d+|\D+/g) ?? [];
  const right = b.match(/\d+|\D+/g) ?? [];
  for (const [index, part] of left.entries()) {
    const other = right[index];
    if (other === undefined) return 1;
    const difference = Number(part) - Number(other);
    if (Number.isFinite(difference) && difference !== 0) return difference;
    if (part !== other) return part < other ? -1 : 1;
  }
  return left.length - right.length;
}

function setupsBy(reader: ShootReader, order: (setup: SetupView) => readonly number[]): SetupView[] {
  return reader
    .records('setups')
    .map((id) => ({ id, view: reader.view('setups', id) }))
    .filter(({ view }) => view.retired !== true)
    .map((setup) => ({ setup, order: order(setup) }))
    .sort((a, b) => {
      const at = a.order.findIndex((value, index) => value !== b.order[index]);
      return at < 0 ? byName(a.setup.id, b.setup.id) : (a.order[at] ?? 0) - (b.order[at] ?? 0);
    })
    .map(({ setup }) => setup);
}

/** All setups in use in the order they are shot; with a day, those planned for it. Setups without an order come last. */
export function setupsInShootingOrder(reader: ShootReader, day?: string): SetupView[] {
  const inOrder = setupsBy(reader, ({ view }) => [view.shootingOrder ?? LAST, view.storyOrder ?? LAST]);
  return day === undefined ? inOrder : inOrder.filter(({ view }) => view.day === day);
}

/** All setups in use in the order of the finished programme: by scene, then within it. */
export function setupsInStoryOrder(reader: ShootReader): SetupView[] {
  return setupsBy(reader, ({ view }) => [sceneOrder(reader, view.scene), view.storyOrder ?? LAST]);
}

function sceneOrder(reader: ShootReader, scene: string | undefined): number {
  return (scene !== undefined ? reader.value('scenes', scene, 'storyOrder') : undefined) ?? LAST;
}

/** Where a setup is shot: its own place, or its scene's. */
export function placeOfSetup(reader: ShootReader, setup: string): string | undefined {
  const { place, scene } = reader.view('setups', setup);
  return place ?? (scene !== undefined ? reader.value('scenes', scene, 'place') : undefined);
}

/** The groups of setups that cut together, in the story order of their first setups. */
export function matchGroups(reader: ShootReader): MatchGroup[] {
  const groups = new Map<string, SetupView[]>();
  for (const setup of setupsInStoryOrder(reader)) {
    const name = setup.view.matchGroup;
    if (name === undefined || setup.view.state === 'dropped') continue;
    const group = groups.get(name);
    if (group) group.push(setup);
    else groups.set(name, [setup]);
  }
  return [...groups].map(([name, setups]) => ({ name, setups, reference: referenceOf(setups) }));
}

/** The group that a setup cuts together with. */
export function matchGroupOf(reader: ShootReader, setup: string): MatchGroup | undefined {
  const name = reader.value('setups', setup, 'matchGroup');
  return name === undefined ? undefined : matchGroups(reader).find((group) => group.name === name);
}

function referenceOf(setups: readonly SetupView[]): string {
  const named = (id: string) => setups.filter(({ view }) => view.reference === id).length;
  // Ties go to the one that comes first in the story; sorting keeps that order.
  const byVotes = setups.map(({ id }) => id).sort((a, b) => named(b) - named(a));
  return byVotes[0] ?? '';
}
