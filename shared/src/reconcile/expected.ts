import { splitId } from '@plumbline/replica';
import * as z from 'zod/mini';
import { SHOOT, type ShootReader, tables } from '../tables/index.ts';
import type { Slot } from './slots.ts';

/** What the board says of a file that is not there yet. What it does not say is left out. */
export interface Expected {
  readonly frameRate?: string | undefined;
  readonly raster?: string | undefined;
  readonly scan?: string | undefined;
  readonly codec?: string | undefined;
  readonly chroma?: string | undefined;
  readonly bitDepth?: number | undefined;
  readonly bitRateMbps?: number | undefined;
  readonly timecodeRate?: string | undefined;
  readonly dropFrame?: boolean | undefined;
  readonly sampleRateHz?: number | undefined;
  readonly soundBitDepth?: number | undefined;
  /** Channels that were armed on the recorder, and how many it has. */
  readonly channels?: number | undefined;
  readonly channelsOfRecorder?: number | undefined;
  readonly clip?: string | undefined;
  readonly timecodeIn?: string | undefined;
  readonly timecodeOut?: string | undefined;
  readonly durationSeconds?: number | undefined;
  /** Shot for another speed: it need not play as long as it was rolled. */
  readonly isOffSpeed: boolean;
}

const pictureFields = tables.picture.fields;
const asShotSchema = z.object({
  frameRate: z.optional(pictureFields.frameRate.schema),
  raster: z.optional(pictureFields.raster.schema),
  scan: z.optional(pictureFields.scan.schema),
  codec: z.optional(pictureFields.codec.schema),
  chroma: z.optional(pictureFields.chroma.schema),
  bitDepth: z.optional(pictureFields.bitDepth.schema),
  bitRateMbps: z.optional(pictureFields.bitRateMbps.schema),
  sampleRateHz: z.optional(pictureFields.sampleRateHz.schema),
  timecodeRate: z.optional(pictureFields.timecodeRate.schema),
  dropFrame: z.optional(pictureFields.dropFrame.schema),
  plannedSpeed: z.optional(pictureFields.plannedSpeed.schema),
});

/** What a camera's file should be, by the copy of its settings that was made when the take was shot. */
function ofCamera(reader: ShootReader, { take, device }: Slot): Expected {
  const parsed = asShotSchema.safeParse(take.view.asShotPicture?.[device] ?? {});
  const { plannedSpeed, frameRate, ...shot } = parsed.success ? parsed.data : {};
  const isOffSpeed = plannedSpeed === 'high' || plannedSpeed === 'low';
  const { clip, timecodeIn, timecodeOut } = take.view;
  return {
    ...shot,
    // A file of another speed is written to play at the shoot's rate.
    frameRate: isOffSpeed ? (reader.value('shoot', SHOOT, 'frameRate') ?? frameRate) : frameRate,
    clip,
    timecodeIn,
    timecodeOut,
    durationSeconds: isOffSpeed ? undefined : take.seconds,
    isOffSpeed,
  };
}

/** The channels of a recorder that carried a source when the take was shot. */
function armed({ take, device }: Slot): number | undefined {
  const channels = Object.entries(take.view.asShotInputs ?? {}).filter(
    ([name, input]) =>
      splitId(name)[0] === device &&
      name !== 'leftOut' &&
      input.source !== undefined &&
      input.state !== 'closed',
  );
  const isWhole = take.view.asShotInputs?.leftOut?.from === undefined;
  return isWhole && channels.length > 0 ? channels.length : undefined;
}

function ofRecorder(reader: ShootReader, slot: Slot): Expected {
  const { channels, sampleRateHz, bitDepth, timecodeRate, dropFrame } = reader.view('recorders', slot.device);
  return {
    sampleRateHz,
    soundBitDepth: bitDepth,
    channels: armed(slot),
    channelsOfRecorder: channels,
    timecodeRate,
    dropFrame,
    timecodeIn: slot.take.view.timecodeIn,
    timecodeOut: slot.take.view.timecodeOut,
    durationSeconds: slot.take.seconds,
    isOffSpeed: false,
  };
}

/** What the board says of what a slot's file should be. */
export function expectedOf(reader: ShootReader, slot: Slot): Expected {
  return slot.table === 'cameras' ? ofCamera(reader, slot) : ofRecorder(reader, slot);
}
