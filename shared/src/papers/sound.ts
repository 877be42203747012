import { joinId, splitId } from '@plumbline/replica';
import { SHOOT } from '../tables/index.ts';
import { channelsOf } from '../views/sound.ts';
import type { TakeView } from '../views/takes.ts';
import { camerasOfSetup, setupTitle } from './camera.ts';
import { EMPTY, figureCell, textCell } from './cells.ts';
import {
  asShotColumns,
  asShotDifferences,
  type Filled,
  factsOf,
  fields,
  group,
  own,
  section,
  tableOf,
  takeColumns,
} from './compose.ts';
import type { PaperContext } from './context.ts';
import type { PaperSection, PaperTable } from './model.ts';

interface Channel {
  readonly setup: string;
  /** `recorder.channel` */
  readonly source: string;
  readonly take: TakeView | null;
}

function placeOf({ reader }: PaperContext, setup: string): string | undefined {
  const { place, scene } = reader.view('setups', setup);
  return place ?? (scene === undefined ? undefined : reader.value('scenes', scene, 'place'));
}

function recorderOf(source: string): string {
  return splitId(source)[0] ?? '';
}

/** The line-up of the day, each setup's channels, and its takes. */
export function soundSections(context: PaperContext): PaperSection[] {
  const { reader, setups, nameOf } = context;
  const shoot = fields<string>(context, 'shoot', (record) => record);
  const recorder = fields<string>(context, 'recorders', (record) => record);
  const place = fields<string>(context, 'places', (record) => record);
  const picture = fields<string>(context, 'picture', (record) => record);
  const channel = [
    own<Channel>('channel', 'Channel', ({ source }) => figureCell(Number(splitId(source)[1]), 0), {
      kind: 'figure',
    }),
    ...fields<Channel>(context, 'inputs', ({ setup, source }) => `${setup}.${source}`),
  ];
  const takes = [...takeColumns(context), ...asShotDifferences(context, 'asShotInputs', 'inputs')];
  const recorders = reader
    .records('recorders')
    .filter((id) => reader.value('recorders', id, 'retired') !== true);
  return [
    section('line-up', 'Line-up', {
      groups: [
        ...group(null, factsOf(shoot, SHOOT)),
        ...recorders.flatMap((id) => group(nameOf('recorders', id), factsOf(recorder, id))),
      ],
    }),
    ...setups.flatMap((setup) => {
      const { id, view } = setup;
      const channels = channelsOf(reader, id).map(
        ({ recorder: of, channel: number }): Channel => ({
          setup: id,
          source: joinId(of, number),
          take: null,
        }),
      );
      const those = context.takesOf(id);
      if (channels.length === 0 && those.length === 0) return [];
      const where = placeOf(context, id);
      const byRecorder = [...new Set(channels.map(({ source }) => recorderOf(source)))];
      return section(`setup-${id}`, setupTitle(setup), {
        subtitle: view.description ?? null,
        groups: [
          ...(where === undefined ? [] : group(nameOf('places', where), factsOf(place, where))),
          ...camerasOfSetup(context, id).flatMap((camera) =>
            group(nameOf('cameras', camera), factsOf(picture, joinId(id, camera))),
          ),
        ],
        tables: [
          ...byRecorder.map((of) =>
            tableOf(
              `channels-${id}-${of}`,
              `Channels of ${nameOf('recorders', of)}`,
              channel,
              channels.filter(({ source }) => recorderOf(source) === of),
              ({ source }) => `${id}.${source}`,
            ),
          ),
          tableOf(`takes-${id}`, 'Takes', takes, those, ({ record }) => record),
        ],
        notes: those.length === 0 ? ['No take yet.'] : [],
      });
    }),
  ];
}

/** One row for each channel of each take, as it was set when it was shot. */
export function soundSheet(context: PaperContext): PaperTable {
  const rows = context.setups.flatMap(({ id }): Channel[] => {
    const those = context.takesOf(id);
    const standing = channelsOf(context.reader, id).map(({ recorder, channel }) => joinId(recorder, channel));
    if (those.length === 0) return standing.map((source) => ({ setup: id, source, take: null }));
    return those.flatMap((take) => {
      const shot = Object.keys(take.view.asShotInputs ?? {}).filter((source) => source !== 'leftOut');
      return (shot.length > 0 ? shot : standing).map((source) => ({ setup: id, source, take }));
    });
  });
  const picture = fields<string>(context, 'picture', (record) => record);
  const columns: Filled<Channel>[] = [
    ...fields<Channel>(context, 'shoot', () => SHOOT),
    ...fields<Channel>(context, 'setups', ({ setup }) => setup),
    ...fields<Channel>(context, 'places', ({ setup }) => placeOf(context, setup)),
    own<Channel>('recorder', 'Recorder', ({ source }) => textCell(recorderOf(source))),
    ...fields<Channel>(context, 'recorders', ({ source }) => recorderOf(source)),
    // What the cameras record along, as far as the mixer must know it: the first camera's.
    ...picture.map(
      ({ column, cell }): Filled<Channel> => ({
        column,
        cell: ({ setup }) => {
          const [camera] = camerasOfSetup(context, setup);
          return camera === undefined ? EMPTY : cell(joinId(setup, camera));
        },
      }),
    ),
    ...takeColumns(context).map(
      ({ column, cell }): Filled<Channel> => ({
        column,
        cell: ({ take }) => (take === null ? EMPTY : cell(take)),
      }),
    ),
    own<Channel>('channel', 'Channel', ({ source }) => figureCell(Number(splitId(source)[1]), 0), {
      kind: 'figure',
    }),
    ...asShotColumns<Channel>(context, 'asShotInputs', 'inputs', ({ setup, source }) => `${setup}.${source}`),
  ];
  return tableOf('sound', null, columns, rows, ({ setup, source, take }) =>
    [take?.record ?? setup, source].join('.'),
  );
}
