/** Reads of the board that screens, rules and papers share. */
export * from './apart.ts';
export * from './media.ts';
export * from './names.ts';
export * from './picture.ts';
export * from './progress.ts';
export * from './setups.ts';
export * from './sound.ts';
export * from './takes.ts';
