/** What a camera is set to, as far as exposure goes. */
export interface ExposureSettings {
  /** f- or T-number, exact (`exactFNumber` turns a mark into its exact value). */
  readonly aperture: number;
  /** Exposure time of one frame, s. */
  readonly exposureSeconds: number;
  /** Sensitivity, ISO. */
  readonly iso: number;
  /** Density of all neutral filters together; 0 when left out. */
  readonly ndDensity?: number;
}

/** Incident-light constant of a flat receptor that this package takes when none is given, lx s ISO. Common practice, no source. */
export const INCIDENT_C_FLAT = 250;
/** Incident-light constant of a hemispherical receptor often met, lx s ISO. Common practice, no source. */
export const INCIDENT_C_HEMISPHERE = 340;
/** Reflected-light constant that this package takes when none is given, cd s ISO / m². Common practice, no source. */
export const REFLECTED_K = 12.5;
/** Reflected-light constant of the other usual calibration, cd s ISO / m². Common practice, no source. */
export const REFLECTED_K_14 = 14;

/** Ranges that ISO 2720:1974 allows for the constants of a meter. */
export const METER_CONSTANT_RANGES = {
  reflectedK: { min: 10.6, max: 13.4, unit: 'cd s ISO / m²' },
  incidentFlatC: { min: 240, max: 400, unit: 'lx s ISO' },
  incidentHemisphereC: { min: 320, max: 540, unit: 'lx s ISO' },
} as const;
