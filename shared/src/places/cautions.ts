import { SUN_CAUTION } from '@plumbline/craft';
import type { HazardKind } from '../tables/index.ts';

/** What a kind of hazard is called, and what is said wherever it is marked. None of it replaces local rules. */
export const HAZARDS: Readonly<Record<HazardKind, { readonly label: string; readonly caution: string }>> = {
  power: {
    label: 'Power',
    caution:
      'Mains and generators: a licensed electrician connects and tests, by the local code; damp ground needs residual-current protection.',
  },
  heights: {
    label: 'Heights',
    caution:
      'Heights and things overhead: secured platforms, tethered tools, nobody beneath; local rules for work at height decide.',
  },
  traffic: {
    label: 'Traffic',
    caution:
      'Roads, rails and farm machines: only with the permit and the traffic control that the local authority asks for.',
  },
  weather: {
    label: 'Weather',
    caution:
      'Wind, lightning, heat, cold: agree beforehand who stops the work; in thunder masts, stands and water are left at once.',
  },
  water: {
    label: 'Water',
    caution:
      'Life vests and somebody on the bank who only watches; never alone, and ask for tide and current.',
  },
  sun: { label: 'Sun', caution: `${SUN_CAUTION} Shade, water and cover for people.` },
  machines: {
    label: 'Machines',
    caution:
      'Running machines: no loose clothes, straps or cables near them; whoever runs them decides when they may be approached.',
  },
  fire: {
    label: 'Fire',
    caution:
      'Hot lamps, flames, dust: keep clear of cloth and dust, an extinguisher at hand, the way out free; fire rules are local.',
  },
};
