import { exposureOffsetStops, ndDensityFor } from '@plumbline/craft/exposure';
import { nearestSafeAngle, residualModulation } from '@plumbline/craft/flicker';
import { exactFNumber } from '@plumbline/craft/marks';
import { FRAME_RATES } from '@plumbline/craft/motion';
import { addFrames } from '@plumbline/craft/timecode';

const settings = { aperture: exactFNumber(2.8), exposureSeconds: 1 / 50, iso: 800 };
console.log(exposureOffsetStops(1000, settings).toFixed(2)); // 3.00 stops too bright
console.log(ndDensityFor({ illuminanceLux: 1000 }, settings).toFixed(2)); // 0.90, the filter that mends it

console.log(residualModulation({ mainsHz: 60, exposureSeconds: 1 / 50 }).toFixed(3)); // 0.126, it flickers
console.log(nearestSafeAngle(60, 180, FRAME_RATES['25'])); // 150, and this does not

const format = { rate: FRAME_RATES['29.97'], dropFrame: true };
console.log(addFrames('00:00:59;29', 1, format)); // 00:01:00;02
