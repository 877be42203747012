import { formatTimecode, framesPerSecond, timecodeFieldsFromFrames } from '@plumbline/craft';
import type { Json } from '@plumbline/replica';
import { SHOOT, type ShootReader, tables } from '../tables/index.ts';
import type { TakeView } from '../views/takes.ts';
import { rangeOf, type TakeRange, takeName, takesInStoryOrder } from './takes.ts';

/** An object of OpenTimelineIO. */
interface OtioObject {
  readonly OTIO_SCHEMA: string;
  readonly [field: string]: Json;
}

const VERDICT_COLOURS = { good: 'GREEN', keep: 'CYAN', no: 'RED' } as const;
const SEVERITY_COLOURS = { fault: 'RED', break: 'ORANGE', advice: 'YELLOW' } as const;

/** The name under which what OpenTimelineIO has no field for is kept. */
const OURS = 'plumbline';

/**
 * The takes in story order as one track of a timeline, with a marker for each verdict, each note and each finding as
 * shot. A take that the director calls no good is there and not enabled.
 *
 * @source OpenTimelineIO serialized schema: Timeline.1, Stack.1, Track.1, Clip.2, Marker.2, ExternalReference.1,
 * MissingReference.1, TimeRange.1, RationalTime.1
 */
export function takesTimeline(reader: ShootReader): OtioObject {
  const takes = takesInStoryOrder(reader);
  const children = takes.map((take) => clip(reader, take));
  return {
    OTIO_SCHEMA: 'Timeline.1',
    name: reader.value('shoot', SHOOT, 'title') ?? 'Untitled shoot',
    global_start_time: null,
    metadata: {},
    tracks: {
      OTIO_SCHEMA: 'Stack.1',
      ...item('Takes', null, []),
      children: [
        { OTIO_SCHEMA: 'Track.1', ...item('Takes in story order', null, []), kind: 'Video', children },
      ],
    },
  };
}

/** The same as text, indented as the format asks for. */
export function takesOtio(reader: ShootReader): string {
  return `${JSON.stringify(takesTimeline(reader), null, 4)}\n`;
}

function item(
  name: string,
  sourceRange: Json,
  markers: readonly Json[],
  metadata: Json = {},
  enabled = true,
) {
  return { name, source_range: sourceRange, effects: [], markers, enabled, metadata };
}

function rationalTime(value: number, rate: number): OtioObject {
  return { OTIO_SCHEMA: 'RationalTime.1', value, rate };
}

function timeRange(start: number, length: number, rate: number): OtioObject {
  return {
    OTIO_SCHEMA: 'TimeRange.1',
    start_time: rationalTime(start, rate),
    duration: rationalTime(length, rate),
  };
}

function clip(reader: ShootReader, take: TakeView): OtioObject {
  const { view, setup, number } = take;
  const range = rangeOf(reader, take);
  const rate = framesPerSecond(range.format.rate);
  const all = timeRange(range.startFrames, range.lengthFrames, rate);
  const name = takeName(reader, take);
  const about: Json = {
    [OURS]: {
      setup,
      take: number,
      ...(view.verdict !== undefined && { verdict: view.verdict }),
      rateNumerator: range.format.rate.num,
      rateDenominator: range.format.rate.den,
      dropFrame: range.format.dropFrame,
      timecodeIn: view.timecodeIn ?? null,
      lengthBy: range.lengthBy,
      ...(view.cards !== undefined && { cards: view.cards }),
    },
  };
  return {
    OTIO_SCHEMA: 'Clip.2',
    ...item(name, all, markersOf(reader, take, range), about, view.verdict !== 'no'),
    active_media_reference_key: 'DEFAULT_MEDIA',
    media_references: { DEFAULT_MEDIA: media(view.clip, all) },
  };
}

/** The recorded file by the name that the camera gave it: where it lies is for whoever opens the timeline to say. */
function media(clipName: string | undefined, range: OtioObject): OtioObject {
  const shared = { name: clipName ?? '', available_range: range, available_image_bounds: null, metadata: {} };
  return clipName === undefined
    ? { OTIO_SCHEMA: 'MissingReference.1', ...shared }
    : { OTIO_SCHEMA: 'ExternalReference.1', ...shared, target_url: encodeURIComponent(clipName) };
}

function markersOf(reader: ShootReader, take: TakeView, range: TakeRange): OtioObject[] {
  const { view } = take;
  const rate = framesPerSecond(range.format.rate);
  const marker = (
    name: string,
    comment: string,
    color: string,
    start = 0,
    length = 0,
    metadata: Json = {},
  ) => ({
    OTIO_SCHEMA: 'Marker.2',
    name,
    comment,
    color,
    marked_range: timeRange(range.startFrames + start, length, rate),
    metadata,
  });
  const verdictWord = tables.takes.fields.verdict.control;
  const label =
    verdictWord.kind === 'choice'
      ? verdictWord.options.find(({ value }) => value === view.verdict)?.label
      : undefined;
  return [
    ...(view.verdict === undefined
      ? []
      : [
          marker(
            `Verdict: ${label ?? view.verdict}`,
            view.directorNote ?? '',
            VERDICT_COLOURS[view.verdict],
            0,
            range.lengthFrames,
          ),
        ]),
    ...(view.pictureNote === undefined ? [] : [marker('Picture note', view.pictureNote, 'WHITE')]),
    ...(view.soundNote === undefined ? [] : [marker('Sound note', view.soundNote, 'WHITE')]),
    ...(view.rolledAnyway === undefined ? [] : [marker('Rolled anyway', view.rolledAnyway, 'PINK')]),
    ...(view.findingsAsShot ?? []).map(({ id, rule, severity, message, accepted }) =>
      marker(
        `${severity[0]?.toUpperCase()}${severity.slice(1)} as shot${accepted === undefined ? '' : ', accepted'}`,
        accepted === undefined ? (message ?? rule) : `${message ?? rule} Accepted: ${accepted.reason}`,
        SEVERITY_COLOURS[severity],
        0,
        0,
        { [OURS]: { finding: id, rule } },
      ),
    ),
    ...flagsDuring(reader, take).map(({ what, seconds }) =>
      marker('Flag', what, 'MAGENTA', Math.min(range.lengthFrames - 1, Math.round(seconds * rate))),
    ),
  ];
}

/** A flag that was raised while a take rolled, and when in it. */
export interface FlagDuring {
  readonly id: string;
  readonly what: string;
  /** From the roll, s. */
  readonly seconds: number;
}

/** The flags that were raised while a take rolled, about its setup or something on it, in order. */
export function flagsDuring(reader: ShootReader, { view, setup }: TakeView): FlagDuring[] {
  const { rolledAt, cutAt } = view;
  if (rolledAt === undefined || cutAt === undefined) return [];
  return reader
    .records('flags')
    .flatMap((id): FlagDuring[] => {
      const { what, about = '', raisedAt, retired } = reader.view('flags', id);
      const record = about.slice(about.indexOf('/') + 1);
      const isAbout = record === setup || record.startsWith(`${setup}.`);
      if (retired === true || what === undefined || raisedAt === undefined || !isAbout) return [];
      if (raisedAt < rolledAt || raisedAt > cutAt) return [];
      return [{ id, what, seconds: (raisedAt - rolledAt) / 1000 }];
    })
    .sort((a, b) => a.seconds - b.seconds);
}

/** The label of the first frame of a take, as its range counts it. */
export function startLabel({ format, startFrames }: TakeRange): string {
  return formatTimecode(timecodeFieldsFromFrames(startFrames, format), format);
}
