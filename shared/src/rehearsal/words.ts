/** What is written down on an invented day. */

export const DIRECTOR_GOOD = [
  'This one.',
  'The pause before the last word is right.',
  'Hands exactly where they were in the wide.',
  'Slower than the others, and better for it.',
] as const;

export const DIRECTOR_NOT = [
  'Looked at the lens.',
  'Started before the water did.',
  'Lost the line in the middle.',
  'Walked past the mark.',
] as const;

export const PICTURE_NOTES = [
  'Focus late on the turn.',
  'Cloud over the sun for the last five seconds.',
  'Edge of the white cloth at the left, crop it.',
  'A gull through the top of the frame.',
] as const;

export const SOUND_NOTES = [
  'Wind on the lapel at the start.',
  'Gate wheel squeaks over the second sentence.',
  'A boat engine far off.',
  'Footsteps louder than the voice.',
] as const;

/** What one department sees of another's: for whom, how grave, what, and what came of it. */
export const FLAGS = [
  {
    by: 'sound',
    for: 'camera',
    severity: 'mend',
    what: 'Fan of the lamp is in the tone',
    answer: 'Lamp moved two metres back',
  },
  {
    by: 'camera',
    for: 'sound',
    severity: 'mend',
    what: 'Boom in the top of the frame',
    answer: 'Boom lowered to the left',
  },
  {
    by: 'director',
    for: 'camera',
    severity: 'note',
    what: 'Sleeves up here, down in the wide',
    answer: 'Noted for the close ones',
  },
  {
    by: 'camera',
    for: 'director',
    severity: 'stop',
    what: 'Somebody stands below the loose shutter board',
    answer: 'Moved away, board tied down',
  },
] as const;

export const CHANNEL_FAULTS = [
  'Crackles when the cable moves',
  'Carrier drops out behind the wheel',
] as const;

export const COPY_PLACES = ['Drive North', 'Drive South', 'Drive East'] as const;
