import type { Change, Json } from '@plumbline/replica';
import { randomName } from '../../../app/device.ts';
import type { Desk } from '../../../board/desk.ts';
import type { TakenPosition } from './gps.ts';
import type { PictureRow } from './kept.ts';
import type { Prepared } from './prepare.ts';
import { pictureQueue } from './queue.ts';

/** A picture and what is to stand on the board of it. */
export interface NewPicture {
  /** The record it shows, `places/mill`. */
  readonly about: string;
  readonly kind: 'photograph' | 'sketch';
  readonly picture: Prepared;
  readonly thumb: Prepared;
  readonly caption: string;
  /** Only where whoever adds it has said so. */
  readonly position: TakenPosition | null;
}

/** Keeps a picture on this device, notes it on the board and begins to send it. @throws where it cannot be kept */
export async function addPicture(desk: Desk, added: NewPicture): Promise<boolean> {
  const { about, kind, picture, thumb, caption, position } = added;
  const { boardId: board } = desk.connection.membership;
  const at = Math.floor(desk.now());
  const rowOf = ({ bytes, hash, type }: Prepared, keep: boolean): PictureRow => ({
    board,
    hash,
    type,
    bytes,
    at,
    state: 'waiting',
    reason: '',
    keep,
  });
  await pictureQueue().add([rowOf(thumb, true), rowOf(picture, false)]);
  const record = `f${randomName(8)}`;
  const values: Readonly<Record<string, Json>> = {
    about,
    kind,
    hash: picture.hash,
    thumbHash: thumb.hash,
    bytes: picture.bytes.byteLength,
    widthPx: picture.widthPx,
    heightPx: picture.heightPx,
    takenAt: at,
    by: desk.me.personId,
    ...(caption !== '' && { caption }),
    ...(position && { latitudeDeg: position.latitudeDeg, longitudeDeg: position.longitudeDeg }),
  };
  const changes = Object.entries(values).map(
    ([field, value]): Change => ({ table: 'photos', record, field, value }),
  );
  return desk.set(kind === 'sketch' ? 'Sketch added' : 'Photograph added', changes)?.kind === 'queued';
}
