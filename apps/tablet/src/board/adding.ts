import type { Change } from '@plumbline/replica';
import { sentence } from '@plumbline/shared';
import { changesOf, idFor } from './acts.ts';
import type { Desk } from './desk.ts';

/** What a new setup starts with. */
export interface NewSetup {
  readonly label: string;
  readonly description: string;
  readonly scene: string | null;
  readonly day: string | null;
  readonly matchGroup: string;
}

/** Adds a setup at the end of the day and of its scene. Returns its id, `null` where it was refused. */
export function addSetup(
  desk: Desk,
  { label, description, scene, day, matchGroup }: NewSetup,
): string | null {
  const { board } = desk;
  const record = idFor(label, (id) => board.cell('setups', id, 'label').peek() !== undefined);
  const all = board.records('setups').map((id) => board.view('setups', id));
  const after = (field: 'shootingOrder' | 'storyOrder', among: typeof all): number =>
    Math.floor(Math.max(0, ...among.map((view) => view[field] ?? 0))) + 1;
  const fields: Record<string, Change['value']> = {
    label,
    state: 'planned',
    shootingOrder: after('shootingOrder', all),
    storyOrder: after(
      'storyOrder',
      all.filter((view) => view.scene === (scene ?? undefined)),
    ),
    ...(description !== '' && { description }),
    ...(scene !== null && { scene }),
    ...(day !== null && { day }),
    ...(matchGroup !== '' && { matchGroup }),
  };
  return desk.set(sentence`Setup ${label} added`, changesOf('setups', record, fields))?.kind === 'queued'
    ? record
    : null;
}

/** Adds a scene at the end of the story. Returns its id, `null` where it was refused. */
export function addScene(
  desk: Desk,
  scene: { number: string; title: string; place: string | null },
): string | null {
  const { board } = desk;
  const record = idFor(scene.number, (id) => board.cell('scenes', id, 'number').peek() !== undefined);
  const last = Math.max(
    0,
    ...board.records('scenes').map((id) => board.value('scenes', id, 'storyOrder') ?? 0),
  );
  const fields: Record<string, Change['value']> = {
    number: scene.number,
    storyOrder: Math.floor(last) + 1,
    ...(scene.title !== '' && { title: scene.title }),
    ...(scene.place !== null && { place: scene.place }),
  };
  return desk.set(`Scene ${scene.number} added`, changesOf('scenes', record, fields))?.kind === 'queued'
    ? record
    : null;
}
