import type { FieldName, FieldValue, RecordView, TypedReader } from '@plumbline/replica';
import { asks } from './asks.ts';
import { cameras } from './cameras.ts';
import { checks, routine } from './checks.ts';
import { custody, kit } from './kit.ts';
import { loads } from './loads.ts';
import { batteries, cards } from './media.ts';
import { accepted, contested, crew, flags, people } from './people.ts';
import { photos } from './photos.ts';
import { picture } from './picture.ts';
import { lightReadings, soundReadings } from './placeReadings.ts';
import { places } from './places.ts';
import { recordings } from './recordings.ts';
import { setups } from './setups.ts';
import { days, scenes, shoot, TOLERANCES, type ToleranceName } from './shoot.ts';
import { inputs, recorders } from './sound.ts';
import { takes } from './takes.ts';

/** Every table of the board. A field is one entry in one of these files, and is read from there by everything. */
export const tables = {
  people,
  crew,
  shoot,
  days,
  places,
  lightReadings,
  soundReadings,
  photos,
  scenes,
  setups,
  cameras,
  picture,
  recorders,
  inputs,
  takes,
  cards,
  batteries,
  recordings,
  kit,
  custody,
  flags,
  asks,
  checks,
  routine,
  loads,
  contested,
  accepted,
};

export type ShootTables = typeof tables;
export type ShootTableName = keyof ShootTables;
export type ShootReader = TypedReader<ShootTables>;
export type ShootRecord<T extends ShootTableName> = RecordView<ShootTables, T>;
export type ShootValue<T extends ShootTableName, F extends FieldName<ShootTables, T>> = FieldValue<
  ShootTables,
  T,
  F
>;

/** The id of the one record of the table `shoot`. */
export const SHOOT = 'shoot';

/** A tolerance as the shoot sets it, or the usual one. */
export function toleranceOf(reader: ShootReader, name: ToleranceName): number {
  return reader.value('shoot', SHOOT, name) ?? TOLERANCES[name].usual;
}

export { ASK_ANSWERS, type AskedChange } from './asks.ts';
export { GAIN_CONVENTIONS } from './cameras.ts';
export { COMPUTED_CHECKS, ROUTINE_TIMES } from './checks.ts';
export * from './field.ts';
export * from './kinds.ts';
export { CONDITIONS, CUSTODY_EVENTS, custodyEventSchema } from './kit.ts';
export {
  CARD_STATES,
  CHECKSUMS,
  CHEMISTRIES,
  COPY_CHECKS,
  checksumSchema,
  copySchema,
  MEDIA_DEPARTMENTS,
  MEDIA_KINDS,
} from './media.ts';
export { PHOTO_HASH } from './photos.ts';
export { AUTO_FUNCTIONS, CHROMA_SAMPLINGS, PLANNED_SPEEDS, SCANS, TRANSFERS } from './picture.ts';
export { circuitSchema, HAZARD_KINDS, type HazardKind, openingSchema } from './places.ts';
export { RECORDING_KINDS } from './recordings.ts';
export { PRIORITIES, SETUP_STATES } from './setups.ts';
export { DAY_ID, TOLERANCES, type ToleranceName } from './shoot.ts';
export { CONNECTORS, INPUT_STATES, PHANTOM } from './sound.ts';
export { SOUND_STATES, VERDICTS } from './takes.ts';
