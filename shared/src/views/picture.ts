import {
  type ExposureSettings,
  exactFNumber,
  exposureOffsetStops,
  exposureSecondsFromAngle,
  type FrameRate,
  isoFromGain,
  keyToFill,
  parseFrameRate,
} from '@plumbline/craft';
import { joinId, splitId } from '@plumbline/replica';
import type { ShootReader, ShootRecord } from '../tables/index.ts';

/** A camera's settings on a setup. */
export interface PictureView {
  /** `setup.camera` */
  readonly record: string;
  readonly camera: string;
  readonly view: ShootRecord<'picture'>;
}

/** A value, or the labels of the fields that must be entered before there is one. */
export type Resolved<T> =
  | { readonly known: true; readonly value: T }
  | { readonly known: false; readonly missing: readonly string[] };

/** The pictures of a setup, by camera; those of cameras out of use are left out. */
export function picturesOf(reader: ShootReader, setup: string): PictureView[] {
  return reader
    .records('cameras')
    .filter((camera) => reader.value('cameras', camera, 'retired') !== true)
    .map((camera) => ({ camera, record: joinId(setup, camera) }))
    .map(({ camera, record }) => ({ camera, record, view: reader.view('picture', record) }))
    .filter(({ view }) => Object.keys(view).length > 0);
}

/** The exact frame rate behind a written one; `undefined` where none is set. */
export function rateOf(written: string | undefined): FrameRate | undefined {
  return written === undefined ? undefined : parseFrameRate(written);
}

/** The rate a camera runs at: its own where it is set, otherwise the shoot's. */
export function captureRate(reader: ShootReader, picture: string): FrameRate | undefined {
  return rateOf(reader.value('picture', picture, 'frameRate') ?? reader.value('shoot', 'shoot', 'frameRate'));
}

/** How long each frame is exposed, s. An angle needs the rate. */
export function exposureSecondsOf(reader: ShootReader, picture: string): Resolved<number> {
  const shutter = reader.value('picture', picture, 'shutter');
  if (shutter === undefined) return { known: false, missing: ['Shutter'] };
  if ('seconds' in shutter) return { known: true, value: shutter.seconds };
  const rate = captureRate(reader, picture);
  if (!rate) return { known: false, missing: ['Frame rate'] };
  return { known: true, value: exposureSecondsFromAngle(shutter.angleDeg, rate) };
}

/** The sensitivity in use: as set in ISO or, on a camera set in dB, its base ISO raised by the gain. */
export function isoOf(reader: ShootReader, picture: string): Resolved<number> {
  const [, camera = ''] = splitId(picture);
  const { iso, gainDb } = reader.view('picture', picture);
  const { baseIso, gainConvention } = reader.view('cameras', camera);
  const setInGain = gainConvention === 'gain' || (gainConvention === undefined && iso === undefined);
  if (!setInGain || gainDb === undefined) {
    return iso === undefined
      ? { known: false, missing: [setInGain && baseIso !== undefined ? 'Gain' : 'ISO'] }
      : { known: true, value: iso };
  }
  return baseIso === undefined
    ? { known: false, missing: ['Base ISO'] }
    : { known: true, value: isoFromGain(baseIso, gainDb) };
}

/**
 * What the settings of a picture ask for, with marks turned into the numbers behind them. No ND entered counts as none
 * in front of the sensor.
 */
export function exposureSettingsOf(reader: ShootReader, picture: string): Resolved<ExposureSettings> {
  const { aperture, ndDensity } = reader.view('picture', picture);
  const seconds = exposureSecondsOf(reader, picture);
  const iso = isoOf(reader, picture);
  if (aperture === undefined || !seconds.known || !iso.known) {
    const missing = [
      ...(aperture === undefined ? ['Aperture'] : []),
      ...(seconds.known ? [] : seconds.missing),
      ...(iso.known ? [] : iso.missing),
    ];
    return { known: false, missing };
  }
  return {
    known: true,
    value: {
      aperture: exactFNumber(aperture),
      exposureSeconds: seconds.value,
      iso: iso.value,
      ndDensity: ndDensity ?? 0,
    },
  };
}

/** How far the key light is above what the settings ask for, in stops: above 0 is bright. */
export function exposureOffsetOf(reader: ShootReader, picture: string): Resolved<number> {
  const settings = exposureSettingsOf(reader, picture);
  const keyLux = reader.value('picture', picture, 'keyLux');
  if (!settings.known || keyLux === undefined) {
    return {
      known: false,
      missing: [
        ...(settings.known ? [] : settings.missing),
        ...(keyLux === undefined ? ['Key reading'] : []),
      ],
    };
  }
  return { known: true, value: exposureOffsetStops(keyLux, settings.value) };
}

/** Key light against fill light, in stops. */
export function keyToFillStopsOf(reader: ShootReader, picture: string): Resolved<number> {
  const { keyLux, fillLux } = reader.view('picture', picture);
  if (keyLux === undefined || fillLux === undefined) {
    return {
      known: false,
      missing: [
        ...(keyLux === undefined ? ['Key reading'] : []),
        ...(fillLux === undefined ? ['Fill reading'] : []),
      ],
    };
  }
  return { known: true, value: keyToFill(keyLux, fillLux).stops };
}
