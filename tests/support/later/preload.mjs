// Makes the program a later version of itself: node --import …/preload.mjs cli.js
import { register } from 'node:module';

register('./hooks.mjs', import.meta.url);
