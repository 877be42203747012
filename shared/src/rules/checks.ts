import { DEPARTMENTS, type Department } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { pictureField } from './facts.ts';
import { manualCandidates, tickCandidates } from './remedies/checks.ts';
import { AGREES, type Draft, found, notKnown, type Rule } from './rule.ts';
import { listed } from './words.ts';

export const cameraAutomatic: Rule<'picture'> = {
  id: 'camera-automatic',
  title: 'Automatic functions left on',
  severity: 'advice',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: null,
  reads: ['picture.autoFunctions'],
  tolerance: null,
  basis: 'common practice, no source',
  catches: 'A camera on which exposure, gain, white balance, focus or another function is left to itself.',
  why: 'It changes the picture within the take, when somebody in white walks through, and nothing on this board holds any more.',
  check({ setup, own }) {
    const { autoFunctions } = own.picture;
    // Asked only of a camera that somebody has begun to set.
    if (autoFunctions === undefined) {
      return Object.keys(own.picture).length === 0 ? AGREES : notKnown([pictureField(own, 'autoFunctions')]);
    }
    if (autoFunctions.length === 0) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'autoFunctions')],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: automatic ${listed(autoFunctions)} ${autoFunctions.length === 1 ? 'is' : 'are'} on.`,
      measured: { value: autoFunctions.length, unit: 'function', text: `${listed(autoFunctions)} on` },
      allowed: { value: 0, unit: 'function', text: 'none' },
    });
  },
  candidates: ({ own }) => manualCandidates(own),
};

export const checksUnticked: Rule<'checks'> = {
  id: 'checks-unticked',
  title: 'Checks not ticked',
  severity: 'advice',
  beforeTake: true,
  department: 'director',
  scope: 'checks',
  row: null,
  reads: ['checks.doneAt', 'checks.title', 'setups.state', 'takes.rolledAt'],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'Checks that a department has listed for a setup and not ticked, from when it is in work until it is complete. One finding for each department.',
  why: 'A list is made in quiet for the minute in which nobody is quiet.',
  check({ setup, checks, lastRoll }) {
    if (setup.state !== 'inWork' && lastRoll === null) return AGREES;
    if (setup.state === 'complete') return AGREES;
    const draftOf = (department: Department): Draft[] => {
      const open = checks.filter((check) => check.department === department && !check.done);
      if (open.length === 0) return [];
      const titles = open.map(({ title }) => title);
      const shown = titles.length > 4 ? [...titles.slice(0, 3), `${titles.length - 3} more`] : titles;
      const when = lastRoll === null ? 'before the first take' : 'and it was rolled';
      return [
        {
          scope: [setup.id, department],
          department,
          targets: open.map(({ record }) => ({ table: 'checks' as const, record, field: 'doneAt' })),
          message: sentence`Setup ${setup.label}: ${department} has not ticked ${listed(shown)}, ${when}.`,
          measured: { value: open.length, unit: 'check', text: `${open.length} open` },
          allowed: { value: 0, unit: 'check', text: 'all ticked' },
        },
      ];
    };
    return found(...DEPARTMENTS.flatMap(draftOf));
  },
  candidates: (_, { targets }) => tickCandidates(targets),
};
