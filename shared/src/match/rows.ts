import { apertureStops, miredDifference } from '@plumbline/craft';
import { exposureDifference } from '../rules/exposure.ts';
import type { PictureFacts } from '../rules/facts.ts';
import { FORMAT_FIELDS, formatDifferences, formatText } from '../rules/formatFields.ts';
import type { MatchRow } from '../rules/index.ts';
import { apertureText, depthText, plain, shutterText, stopsText } from '../rules/words.ts';
import type { ToleranceName } from '../tables/index.ts';

/** How a row of pictures is measured and written. */
export interface PictureRow {
  readonly row: MatchRow;
  readonly title: string;
  readonly unit: string;
  readonly above: string;
  readonly below: string;
  readonly tolerance: ToleranceName | null;
  /** What the scale spans at least, and its step where the unit has one of its own. */
  readonly least: number;
  readonly step?: number;
  readonly signed: boolean;
  readonly decimals: number;
  /** How far a picture is from its reference; `null` where that is not known. */
  value(own: PictureFacts, reference: PictureFacts): number | null;
  text(own: PictureFacts): string;
}

function difference(own: number | null | undefined, reference: number | null | undefined): number | null {
  return own == null || reference == null ? null : own - reference;
}

export const PICTURE_ROWS: readonly PictureRow[] = [
  {
    row: 'exposure',
    title: 'Exposure',
    unit: 'stops',
    above: 'brighter',
    below: 'darker',
    tolerance: 'exposureToleranceStops',
    least: 1,
    signed: true,
    decimals: 1,
    value: (own, reference) => exposureDifference({ own, referenceFacts: reference }),
    text: ({ offsetStops }) =>
      offsetStops === null ? '' : `${stopsText(offsetStops)} ${offsetStops < 0 ? 'under' : 'over'} the meter`,
  },
  {
    row: 'depth',
    title: 'Depth',
    unit: 'stops of aperture',
    above: 'deeper',
    below: 'shallower',
    tolerance: 'apertureToleranceStops',
    least: 1,
    signed: true,
    decimals: 1,
    value: (own, reference) =>
      own.aperture === null || reference.aperture === null
        ? null
        : apertureStops(reference.aperture, own.aperture),
    text: ({ picture, depth }) => {
      if (picture.aperture === undefined) return '';
      const mark = apertureText(picture.aperture);
      return depth ? `${mark}, ${depthText(depth)}` : mark;
    },
  },
  {
    row: 'motion',
    title: 'Motion',
    unit: 'degrees of shutter',
    above: 'more blur',
    below: 'less blur',
    tolerance: 'shutterToleranceDeg',
    least: 90,
    step: 45,
    signed: true,
    decimals: 0,
    value: (own, reference) => difference(own.angleDeg, reference.angleDeg),
    text: ({ picture, angleDeg }) => {
      if (picture.shutter === undefined) return '';
      const set = shutterText(picture.shutter);
      return 'angleDeg' in picture.shutter || angleDeg === null ? set : `${set}, ${plain(angleDeg)}°`;
    },
  },
  {
    row: 'colour',
    title: 'Colour',
    unit: 'mired',
    above: 'set lower in kelvin',
    below: 'set higher in kelvin',
    tolerance: 'whiteBalanceToleranceMired',
    least: 50,
    step: 25,
    signed: true,
    decimals: 0,
    value: (own, reference) => {
      const [mine, theirs] = [own.picture.whiteBalanceK, reference.picture.whiteBalanceK];
      return mine === undefined || theirs === undefined ? null : miredDifference(theirs, mine);
    },
    text: ({ picture }) =>
      picture.whiteBalanceK === undefined ? '' : `${plain(picture.whiteBalanceK, 0)} K`,
  },
  {
    row: 'format',
    title: 'Format',
    unit: 'fields that differ',
    above: 'differ',
    below: '',
    tolerance: null,
    least: 2,
    step: 1,
    signed: false,
    decimals: 0,
    value: (own, reference) => {
      const both = FORMAT_FIELDS.some(
        (field) => own.picture[field] !== undefined && reference.picture[field] !== undefined,
      );
      return both ? formatDifferences(own, reference).length : null;
    },
    text: ({ picture }) =>
      FORMAT_FIELDS.flatMap((field) => {
        const value = picture[field];
        return value === undefined ? [] : [formatText(field, value)];
      }).join(', '),
  },
];
