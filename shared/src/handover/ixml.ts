import { IXML } from '@plumbline/craft';
import { XMLParser } from 'fast-xml-parser';
import * as z from 'zod/mini';
import { WaveProblem } from './wave.ts';

/** A track that a recorder names. */
export interface IxmlTrack {
  /** The recorder's channel. */
  readonly channel: number | null;
  /** Its place in the file, from 1. */
  readonly interleave: number | null;
  readonly name: string;
  readonly use: string;
}

/** What iXML says that the board knows of too; empty where it says nothing. */
export interface IxmlNotes {
  readonly version: string;
  readonly project: string;
  readonly scene: string;
  readonly take: string;
  readonly soundRoll: string;
  readonly note: string;
  readonly circled: boolean | null;
  readonly fileUid: string;
  /** `24000/1001` */
  readonly timecodeRate: string;
  readonly dropFrame: boolean | null;
  readonly sampleRateHz: number | null;
  readonly bitDepth: number | null;
  /** Samples since midnight. */
  readonly samplesSinceMidnight: number | null;
  readonly tracks: readonly IxmlTrack[];
}

const nodeSchema = z.record(z.string(), z.unknown());

function node(value: unknown): Readonly<Record<string, unknown>> {
  const parsed = nodeSchema.safeParse(Array.isArray(value) ? value[0] : value);
  return parsed.success ? parsed.data : {};
}

function text(value: unknown): string {
  const first: unknown = Array.isArray(value) ? value[0] : value;
  return typeof first === 'string' ? first.trim() : '';
}

function count(value: unknown): number | null {
  const written = text(value);
  return /^\d{1,15}$/.test(written) ? Number(written) : null;
}

function yesNo(value: unknown): boolean | null {
  const word = text(value).toUpperCase();
  return word === 'TRUE' ? true : word === 'FALSE' ? false : null;
}

/**
 * Reads an iXML chunk. Everything in it is optional.
 *
 * @throws WaveProblem where it is no XML, defines entities, or is about something else
 * @source iXML specification
 */
export function readIxml(xml: string): IxmlNotes {
  if (/<!(DOCTYPE|ENTITY)/i.test(xml)) throw new WaveProblem('Its iXML defines entities, which none has to.');
  const parser = new XMLParser({ ignoreAttributes: true, parseTagValue: false, trimValues: true });
  let told: unknown;
  try {
    told = parser.parse(xml, true);
  } catch (error) {
    throw new WaveProblem(`Its iXML cannot be read: ${error instanceof Error ? error.message : ''}`);
  }
  const all = node(told);
  if (!(IXML.rootElement in all)) throw new WaveProblem(`Its iXML has no ${IXML.rootElement}.`);
  const root = node(all[IXML.rootElement]);
  const speed = node(root[IXML.speed.object]);
  const list = node(root[IXML.trackList.object]);
  const tracks: unknown = list[IXML.trackList.track] ?? [];
  const low = count(speed[IXML.speed.samplesSinceMidnightLow]);
  const high = count(speed[IXML.speed.samplesSinceMidnightHigh]) ?? 0;
  const flag = text(speed[IXML.speed.timecodeFlag]);
  return {
    version: text(root[IXML.tags.version]),
    project: text(root[IXML.tags.project]),
    scene: text(root[IXML.tags.scene]),
    take: text(root[IXML.tags.take]),
    soundRoll: text(root[IXML.tags.soundRoll]),
    note: text(root[IXML.tags.note]),
    circled: yesNo(root[IXML.tags.circled]),
    fileUid: text(root[IXML.tags.fileUid]),
    timecodeRate: text(speed[IXML.speed.timecodeRate]),
    dropFrame: flag === IXML.dropFrame ? true : flag === IXML.nonDropFrame ? false : null,
    sampleRateHz: count(speed[IXML.speed.fileSampleRate]),
    bitDepth: count(speed[IXML.speed.audioBitDepth]),
    samplesSinceMidnight: low === null ? null : low + high * 2 ** 32,
    tracks: (Array.isArray(tracks) ? tracks : [tracks]).map((each: unknown): IxmlTrack => {
      const track = node(each);
      return {
        channel: count(track[IXML.trackList.channelIndex]),
        interleave: count(track[IXML.trackList.interleaveIndex]),
        name: text(track[IXML.trackList.name]),
        use: text(track[IXML.trackList.function]),
      };
    }),
  };
}
