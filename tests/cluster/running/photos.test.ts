import { createHash } from 'node:crypto';
import { expect, it } from 'vitest';
import { FleetAway } from '../../../apps/base/src/cluster/accounts/errors.ts';
import { FleetPhotos, type SharedObjects } from '../../../apps/base/src/cluster/photos.ts';
import { PHOTO_LIMITS, PhotoStore } from '../../../apps/base/src/photos/store.ts';
import { folderOfTest } from '../../backup/filled.ts';

const MOST = PHOTO_LIMITS.photoBytes;
const picture = Uint8Array.from({ length: 5000 }, (_, index) => [0xff, 0xd8, 0xff][index] ?? index % 251);
const hash = createHash('sha256').update(picture).digest('hex');

/** An object store in memory that can be away. */
class Objects implements SharedObjects {
  readonly kept = new Map<string, Uint8Array>();
  isAway = false;
  gets = 0;

  async put(name: string, bytes: Uint8Array): Promise<void> {
    if (this.isAway) throw new Error('away');
    this.kept.set(name, bytes);
  }

  async get(name: string): Promise<Uint8Array | null> {
    this.gets++;
    if (this.isAway) throw new Error('away');
    return this.kept.get(name) ?? null;
  }
}

async function* pieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes.subarray(0, 1000);
  yield bytes.subarray(1000);
}

const node = (objects: SharedObjects): FleetPhotos =>
  new FleetPhotos(new PhotoStore(folderOfTest(), PHOTO_LIMITS), objects, MOST);

it('a picture that one node took in is shown by another, which keeps it from then on', async () => {
  const objects = new Objects();
  const [one, other] = [node(objects), node(objects)];
  expect(await one.put('b1', hash, 'image/jpeg', pieces(picture))).toBe('stored');
  expect(await one.put('b1', hash, 'image/jpeg', pieces(picture))).toBe('known');
  expect(await other.put('b1', hash, 'image/jpeg', pieces(picture))).toBe('known');
  const third = node(objects);
  objects.gets = 0;
  const shown = await Promise.all([third.get('b1', hash), third.get('b1', hash)]);
  for (const each of shown) expect(each).toEqual({ type: 'image/jpeg', bytes: picture });
  expect(objects.gets, 'fetched once').toBe(1);
  objects.isAway = true;
  expect((await third.get('b1', hash))?.bytes).toEqual(picture);
  await expect(third.get('b2', hash)).rejects.toBeInstanceOf(FleetAway);
});

it('no picture counts as kept before the engine has it', async () => {
  const objects = new Objects();
  const one = node(objects);
  objects.isAway = true;
  await expect(one.put('b1', hash, 'image/jpeg', pieces(picture))).rejects.toBeInstanceOf(FleetAway);
  objects.isAway = false;
  expect(await one.put('b1', hash, 'image/jpeg', pieces(picture))).toBe('stored');
  expect([...objects.kept.values()]).toEqual([picture]);
});

it('what the engine gives back that is not the picture is not shown, and none is none', async () => {
  const objects = new Objects();
  const one = node(objects);
  objects.kept.set(`photo.b1.${hash}`, picture.slice(0, 4000));
  expect(await one.get('b1', hash)).toBeNull();
  expect(await one.get('b1', hash.replace(/^./, 'z'))).toBeNull();
  expect(await one.put('b1', hash.replaceAll(/[0-4]/g, '5'), 'image/jpeg', pieces(picture))).toBe('other');
});
