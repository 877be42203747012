/** The nine subjects of the package, each with its modules in the order a reader wants them. */
export const SUBJECTS: readonly { readonly title: string; readonly modules: readonly string[] }[] = [
  {
    title: 'Exposure',
    modules: ['exposure', 'metering', 'ratios', 'attenuation', 'marks', 'written-time', 'light', 'daylight'],
  },
  { title: 'Depth and field', modules: ['depth', 'field', 'diffraction'] },
  { title: 'Motion', modules: ['rate', 'motion', 'flicker'] },
  { title: 'Timecode', modules: ['timecode', 'clocks'] },
  { title: 'Colour', modules: ['colour', 'chromaticity', 'planck'] },
  {
    title: 'Sound',
    modules: ['levels', 'acoustics', 'sampling', 'phantom', 'loudness', 'kweighting', 'truepeak', 'wave'],
  },
  { title: 'Radio', modules: ['radio', 'radio-search'] },
  { title: 'Media and power', modules: ['media', 'frames', 'power'] },
  { title: 'Place', modules: ['sun', 'polar', 'shadow', 'zones'] },
];

/** Modules that hold the parts of others and are not imported on their own. */
export const INNER_MODULES: readonly string[] = [
  'index',
  'errors',
  'exposure-settings',
  'mark-tables',
  'observer',
];
