import { SHOOT } from '@plumbline/shared';
import { useDesk } from '../../../board/useDesk.ts';

/** The currency that the kit's values are in, by its ISO 4217 code; `null` where the shoot has not said it. */
export function useCurrency(): string | null {
  return useDesk().board.value('shoot', SHOOT, 'currency') ?? null;
}

/** What is said where a value stands whose currency nobody has set. */
export const NO_CURRENCY = 'Which that is, the director sets on the screen Unit.';
