import { sentence } from '../../views/apart.ts';
import type { PictureFacts } from '../facts.ts';
import type { Target } from '../finding.ts';
import type { Candidate } from '../rule.ts';

/** Everything set by hand. */
export function manualCandidates({ record, camera }: PictureFacts): Candidate[] {
  return [
    {
      id: 'manual',
      label: sentence`Camera ${camera}: everything by hand`,
      changes: [{ table: 'picture', record, field: 'autoFunctions', value: [] }],
    },
  ];
}

/** Asks for the checks to be made. Nothing is written: who makes a check signs it. */
export function tickCandidates(targets: readonly Target[]): Candidate[] {
  return [
    {
      id: 'tick',
      label: 'Go through them, and tick each as it is done',
      changes: [],
      supposes: targets.map(({ table, record }) => ({ table, record, field: 'doneAt', value: 1 })),
      trouble: 0.2,
    },
  ];
}
