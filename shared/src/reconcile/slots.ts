import { CraftError, localIso } from '@plumbline/craft';
import { splitId } from '@plumbline/replica';
import { SHOOT, type ShootReader, type ShootValue } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { type TakeView, takeOf } from '../views/takes.ts';
import { nameKey } from './model.ts';

/** A place where a file of a take belongs: what one camera or one recorder wrote of it. */
export interface Slot {
  /** `4a.2/A` */
  readonly id: string;
  readonly take: TakeView;
  readonly table: 'cameras' | 'recorders';
  readonly device: string;
  /** The setup as it is called on the slate. */
  readonly label: string;
  /** The card that was in it; `null` where the board does not say. */
  readonly card: string | null;
  /** Names of the clip as the board has them, ready to be compared. */
  readonly clips: readonly string[];
  /** When it was rolled and cut at the place: ms, counted as if its wall clock ran in UTC. */
  readonly localRolled: number | null;
  readonly localCut: number | null;
  /** Whether a file must be there: rolled and cut, and not shot mute for a recorder. */
  readonly isDue: boolean;
}

/** A wall clock's date and time as a number that can be subtracted. */
export function wallClock(text: string): number {
  return Date.parse(`${text.slice(0, 19)}Z`);
}

/** Wall clock of a moment in a zone; in UTC where the zone is not known. */
function localOf(at: number | undefined, zone: string | undefined): number | null {
  if (at === undefined) return null;
  try {
    return wallClock(localIso(zone ?? 'UTC', new Date(at)));
  } catch (error) {
    if (error instanceof CraftError || error instanceof RangeError) return at;
    throw error;
  }
}

/** Names in a clip field: two cameras may be entered one after the other. */
export function clipKeys(clip: string | undefined): string[] {
  return (clip ?? '')
    .split(/[,;/+]|\s+/)
    .map((name) => nameKey(name.replace(/\.[A-Za-z0-9]{2,4}$/, '')))
    .filter((key) => key.length >= 3);
}

type AsShot = ShootValue<'takes', 'asShotPicture'>;

/** The names in a copy of settings; `leftOut` says that the copy is not whole. */
function devicesIn(copy: AsShot | undefined): string[] {
  return Object.keys(copy ?? {}).filter((name) => name !== 'leftOut');
}

/** The cameras and recorders of a take: by the copies that were made of it, else by the cards that were in. */
function devicesOf({ view }: TakeView): { readonly cameras: string[]; readonly recorders: string[] } {
  const byCard = Object.keys(view.cardsIn ?? {}).map((key) => key.split('/'));
  const named = (table: string) =>
    byCard.flatMap(([of, device]) => (of === table && device !== undefined ? [device] : []));
  const recorders = devicesIn(view.asShotInputs).map((channel) => splitId(channel)[0] ?? channel);
  return {
    cameras: [...new Set([...devicesIn(view.asShotPicture), ...named('cameras')])].sort(),
    recorders: [...new Set([...recorders, ...named('recorders')])].sort(),
  };
}

/** Where files belong: every camera and recorder of every take that was rolled, those rolled by mistake included. */
export function slotsOf(reader: ShootReader): Slot[] {
  const zone = reader.value('shoot', SHOOT, 'timeZone');
  const cameras = reader.records('cameras').filter((id) => reader.value('cameras', id, 'retired') !== true);
  return reader
    .records('takes')
    .map((record) => takeOf(reader, record))
    .filter(({ state }) => state !== 'announced')
    .sort((a, b) => (a.view.rolledAt ?? 0) - (b.view.rolledAt ?? 0) || (a.record < b.record ? -1 : 1))
    .flatMap((take): Slot[] => {
      const devices = devicesOf(take);
      const [only] = cameras;
      // A take without any copy, of a unit with one camera, is that camera's.
      if (devices.cameras.length === 0 && cameras.length === 1 && only !== undefined)
        devices.cameras.push(only);
      const slot = (table: Slot['table'], device: string): Slot => ({
        id: `${take.record}/${device}`,
        take,
        table,
        device,
        label: reader.value('setups', take.setup, 'label') ?? take.setup,
        card: take.view.cardsIn?.[`${table}/${device}`] ?? null,
        clips: table === 'cameras' ? clipKeys(take.view.clip) : [],
        localRolled: localOf(take.view.rolledAt, zone),
        localCut: localOf(take.view.cutAt, zone),
        isDue:
          take.state === 'cut' &&
          take.view.retired !== true &&
          !(table === 'recorders' && take.view.soundState === 'mute'),
      });
      return [
        ...devices.cameras.map((device) => slot('cameras', device)),
        ...devices.recorders.map((device) => slot('recorders', device)),
      ];
    });
}

/** What a slot is called: `take 2 of 4a, camera A`. */
export function slotWords({
  take,
  label,
  table,
  device,
}: Pick<Slot, 'take' | 'label' | 'table' | 'device'>): string {
  return sentence`take ${take.number} of ${label}, ${table === 'cameras' ? 'camera' : 'recorder'} ${device}`;
}
