import { sentence } from '../../views/apart.ts';
import type { PictureFacts } from '../facts.ts';
import { FORMAT_FIELDS, formatText } from '../formatFields.ts';
import type { Candidate } from '../rule.ts';
import { listed } from '../words.ts';

/** The format of another picture: every field that it has and that this one has otherwise. */
export function formatCandidates(own: PictureFacts, other: PictureFacts): Candidate[] {
  const values = FORMAT_FIELDS.flatMap((field) => {
    const [mine, wanted] = [own.picture[field], other.picture[field]];
    return mine === undefined || wanted === undefined || mine === wanted ? [] : [{ field, wanted }];
  });
  if (values.length === 0) return [];
  return [
    {
      id: `${own.camera}-format`,
      label: sentence`camera ${own.camera}: ${listed(values.map(({ field, wanted }) => formatText(field, wanted)))}`,
      changes: values.map(({ field, wanted }) => ({
        table: 'picture' as const,
        record: own.record,
        field,
        value: wanted,
      })),
    },
  ];
}
