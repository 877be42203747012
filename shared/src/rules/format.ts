import { tables } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { type PictureFacts, pictureField } from './facts.ts';
import { FORMAT_FIELDS, type FormatField, formatDifferences, formatText } from './formatFields.ts';
import { formatCandidates } from './remedies/format.ts';
import { AGREES, type Draft, found, type Rule, type Verdict } from './rule.ts';
import type { CamerasView } from './scopes.ts';
import { listed } from './words.ts';

/** What only one of the two has: what neither has, nobody on this shoot notes. */
function missing(own: PictureFacts, other: PictureFacts) {
  return FORMAT_FIELDS.flatMap((field) =>
    [own, other]
      .filter((facts, index) => {
        const against = index === 0 ? other : own;
        return facts.picture[field] === undefined && against.picture[field] !== undefined;
      })
      .map((facts) => pictureField(facts, field)),
  );
}

function differText(own: PictureFacts, other: PictureFacts, fields: readonly FormatField[]): string {
  return listed(
    fields.map((field) => {
      const [mine, theirs] = [own.picture[field] ?? '', other.picture[field] ?? ''];
      return `${tables.picture.fields[field].label.toLowerCase()} ${formatText(field, mine)} against ${formatText(field, theirs)}`;
    }),
  );
}

function draftOf(
  own: PictureFacts,
  other: PictureFacts,
  fields: readonly FormatField[],
  words: { readonly scope: readonly string[]; readonly message: string },
): Draft {
  const text = `${listed(fields.map((field) => tables.picture.fields[field].label.toLowerCase()))} differ${fields.length === 1 ? 's' : ''}`;
  return {
    scope: words.scope,
    targets: [own, other].flatMap((facts) => FORMAT_FIELDS.map((field) => pictureField(facts, field))),
    message: `${words.message}: ${differText(own, other, fields)}.`,
    measured: { value: fields.length, unit: 'field', text },
    allowed: { value: 0, unit: 'field', text: 'the same' },
  };
}

const READS = FORMAT_FIELDS.map((field) => `picture.${field}`);
const WHY =
  'Cameras of another raster, scan, coding or curve need another treatment before they cut together, and some differences (fields, clipped code values, lost colour) cannot be taken out at all.';

export const formatMatch: Rule<'match'> = {
  id: 'format-match',
  title: 'Format differs inside a match group',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'match',
  row: 'format',
  reads: READS,
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'A setup recorded in another raster, scan, codec, bit depth, chroma sampling or transfer curve than its reference setup: all that differs in one finding. What neither has entered is not asked for.',
  why: WHY,
  check({ setup, own, reference, referenceFacts }): Verdict {
    const fields = formatDifferences(own, referenceFacts);
    const unknown = missing(own, referenceFacts);
    if (fields.length === 0) return { found: [], missing: unknown };
    const scope = [setup.id, own.camera];
    const message = sentence`Setup ${setup.label}, camera ${own.camera}, is recorded in another format than ${reference.label}`;
    return { ...found(draftOf(own, referenceFacts, fields, { scope, message })), missing: unknown };
  },
  candidates: ({ own, referenceFacts }) => formatCandidates(own, referenceFacts),
};

/** Whether a camera's format is held against a reference setup already. */
function isMatched({ matchedTo }: CamerasView['cameras'][number]): boolean {
  return matchedTo !== null;
}

export const formatCameras: Rule<'cameras'> = {
  id: 'format-cameras',
  title: 'Format differs between cameras of one setup',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'cameras',
  row: 'format',
  reads: READS,
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'A camera that records in another format than the first camera of the same setup. Where both are held against a reference setup of their own, the difference shows there and is not told again.',
  why: WHY,
  check({ setup, cameras }): Verdict {
    const [first, ...others] = cameras;
    if (!first) return AGREES;
    const compared = others.filter((other) => !(isMatched(first) && isMatched(other)));
    return {
      found: compared.flatMap(({ own }) => {
        const fields = formatDifferences(own, first.own);
        const scope = [setup.id, first.own.camera, own.camera];
        const message = sentence`Setup ${setup.label}: camera ${own.camera} records in another format than camera ${first.own.camera}`;
        return fields.length === 0 ? [] : [draftOf(own, first.own, fields, { scope, message })];
      }),
      missing: compared.flatMap(({ own }) => missing(own, first.own)),
    };
  },
  candidates: (view, { scope: [, first, other] }) => {
    const facts = (camera: string | undefined) => view.cameras.find(({ own }) => own.camera === camera)?.own;
    const [mine, theirs] = [facts(other), facts(first)];
    return mine && theirs ? [...formatCandidates(mine, theirs), ...formatCandidates(theirs, mine)] : [];
  },
};
