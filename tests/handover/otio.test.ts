import { takesOtio, takesTimeline } from '@plumbline/shared/handover';
import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { shootReader } from '../support/shoot.ts';
import { MORNING, shootAt } from './shoot.ts';

/**
 * The serialized classes of OpenTimelineIO that a timeline may hold, with the fields that each has.
 * Source: AcademySoftwareFoundation/OpenTimelineIO, docs/tutorials/otio-serialized-schema-only-fields.md (fields), and
 * docs/tutorials/otio-file-format-specification.md (`OTIO_SCHEMA`, `tracks` a stack, `children` of stack and track).
 * That a composition serializes `children` and a marker's colour is one of a list are in otio-serialized-schema.md.
 */
const FIELDS = {
  'Timeline.1': ['global_start_time', 'metadata', 'name', 'tracks'],
  'Stack.1': ['children', 'effects', 'enabled', 'markers', 'metadata', 'name', 'source_range'],
  'Track.1': ['children', 'effects', 'enabled', 'kind', 'markers', 'metadata', 'name', 'source_range'],
  'Clip.2': [
    'active_media_reference_key',
    'effects',
    'enabled',
    'markers',
    'media_references',
    'metadata',
    'name',
    'source_range',
  ],
  'Marker.2': ['color', 'comment', 'marked_range', 'metadata', 'name'],
  'ExternalReference.1': ['available_image_bounds', 'available_range', 'metadata', 'name', 'target_url'],
  'MissingReference.1': ['available_image_bounds', 'available_range', 'metadata', 'name'],
  'TimeRange.1': ['duration', 'start_time'],
  'RationalTime.1': ['rate', 'value'],
} as const;

const TYPES: Readonly<Record<string, object>> = {
  name: { type: 'string' },
  metadata: { type: 'object' },
  enabled: { type: 'boolean' },
  effects: { type: 'array', maxItems: 0 },
  markers: { type: 'array', items: { $ref: '#/$defs/Marker.2' } },
  source_range: { anyOf: [{ type: 'null' }, { $ref: '#/$defs/TimeRange.1' }] },
  available_range: { anyOf: [{ type: 'null' }, { $ref: '#/$defs/TimeRange.1' }] },
  available_image_bounds: { type: 'null' },
  marked_range: { $ref: '#/$defs/TimeRange.1' },
  global_start_time: { anyOf: [{ type: 'null' }, { $ref: '#/$defs/RationalTime.1' }] },
  start_time: { $ref: '#/$defs/RationalTime.1' },
  duration: { $ref: '#/$defs/RationalTime.1' },
  rate: { type: 'number', exclusiveMinimum: 0 },
  value: { type: 'number' },
  kind: { enum: ['Video', 'Audio'] },
  comment: { type: 'string' },
  // otio.schema.MarkerColor, from memory.
  color: {
    enum: ['PINK', 'RED', 'ORANGE', 'YELLOW', 'GREEN', 'CYAN', 'BLUE', 'PURPLE', 'MAGENTA', 'BLACK', 'WHITE'],
  },
  target_url: { type: 'string', format: 'uri-reference' },
  active_media_reference_key: { const: 'DEFAULT_MEDIA' },
  media_references: {
    type: 'object',
    required: ['DEFAULT_MEDIA'],
    additionalProperties: {
      anyOf: [{ $ref: '#/$defs/ExternalReference.1' }, { $ref: '#/$defs/MissingReference.1' }],
    },
  },
};

function classSchema(name: keyof typeof FIELDS): object {
  const child = name === 'Stack.1' ? 'Track.1' : 'Clip.2';
  const fields = FIELDS[name].map((field): [string, object] => {
    if (field === 'tracks') return [field, { $ref: '#/$defs/Stack.1' }];
    if (field === 'children') return [field, { type: 'array', items: { $ref: `#/$defs/${child}` } }];
    return [field, TYPES[field] ?? {}];
  });
  return {
    type: 'object',
    properties: { OTIO_SCHEMA: { const: name }, ...Object.fromEntries(fields) },
    required: ['OTIO_SCHEMA', ...FIELDS[name]],
    additionalProperties: false,
  };
}

const names = Object.keys(FIELDS) as (keyof typeof FIELDS)[];
const validate = new Ajv({ strict: false, validateFormats: false }).compile({
  $ref: '#/$defs/Timeline.1',
  $defs: Object.fromEntries(names.map((name) => [name, classSchema(name)])),
});

const time = z.object({ value: z.number(), rate: z.number() });
const range = z.object({ start_time: time, duration: time });
const timeline = z.object({
  tracks: z.object({
    children: z.tuple([
      z.object({
        children: z.array(
          z.object({
            name: z.string(),
            enabled: z.boolean(),
            source_range: range,
            media_references: z.object({
              DEFAULT_MEDIA: z.object({
                OTIO_SCHEMA: z.string(),
                target_url: z.string().optional(),
                name: z.string(),
              }),
            }),
            markers: z.array(
              z.object({ name: z.string(), comment: z.string(), color: z.string(), marked_range: range }),
            ),
          }),
        ),
      }),
    ]),
  }),
});

function clips(rate: string, dropFrame: boolean, take: Parameters<typeof shootAt>[2]) {
  const told = takesTimeline(shootReader(shootAt(rate, dropFrame, take)));
  validate(told);
  expect(validate.errors ?? []).toEqual([]);
  return timeline.parse(told).tracks.children[0].children;
}

describe('the takes as OpenTimelineIO', () => {
  it('stand in story order, what is no good not enabled, each by the name of its clip', () => {
    const all = clips('25', false, { clip: 'A001 C003.mov', verdict: 'good' });
    expect(all.map(({ name, enabled }) => [name, enabled])).toEqual([
      ['2A take 1', false],
      ['1A take 1', true],
    ]);
    expect(all[1]?.media_references.DEFAULT_MEDIA).toMatchObject({
      OTIO_SCHEMA: 'ExternalReference.1',
      name: 'A001 C003.mov',
      target_url: 'A001%20C003.mov',
    });
    expect(all[0]?.media_references.DEFAULT_MEDIA.OTIO_SCHEMA).toBe('MissingReference.1');
  });

  // SMPTE ST 12-1: at 29.97 drop-frame two labels are skipped each minute but every tenth, so 01:00:00;00 is frame
  // 107892, and from 00:00:59;29 to 00:01:00;02 is one frame.
  it.each([
    ['29.97', true, '01:00:00;00', '01:00:10;00', 107_892, 300, 30_000 / 1001],
    ['29.97', true, '00:00:59;29', '00:01:00;02', 1799, 1, 30_000 / 1001],
    ['29.97', false, '01:00:00:00', '01:00:10:00', 108_000, 300, 30_000 / 1001],
    ['23.976', false, '01:00:00:00', '01:00:01:00', 86_400, 24, 24_000 / 1001],
    ['25', false, '10:00:00:00', '10:01:00:12', 900_000, 1512, 25],
    ['50', false, '23:59:59:49', '00:00:00:01', 4_319_999, 2, 50],
  ])(
    'at %s, drop-frame %s, from %s to %s begin at frame %i and last %i',
    (rate, drop, from, to, start, length, fps) => {
      const [, clip] = clips(rate, drop, { timecodeIn: from, timecodeOut: to });
      expect(clip?.source_range.start_time).toMatchObject({ value: start, rate: fps });
      expect(clip?.source_range.duration).toMatchObject({ value: length, rate: fps });
    },
  );

  it('last from roll to cut where no timecode is entered, or none that exists', () => {
    expect(clips('25', false, {})[1]?.source_range.duration.value).toBe(1500);
    // 01:01:00;00 is a label that drop-frame skips.
    const [, clip] = clips('29.97', true, { timecodeIn: '01:01:00;00', timecodeOut: '01:01:10;00' });
    expect(clip?.source_range.duration.value).toBe(Math.round((60 * 30_000) / 1001));
  });

  it('carry verdict, notes, findings as shot and the flags raised in them as markers, in the clip’s own time', () => {
    const [, clip] = clips('25', false, {
      timecodeIn: '10:00:00:00',
      verdict: 'keep',
      directorNote: 'Use the turn',
      soundNote: 'Gull',
      rolledAnyway: 'Tide',
      findingsAsShot: [{ id: 'x', rule: 'r', severity: 'break', message: 'One stop brighter.' }],
    });
    const markers = clip?.markers ?? [];
    expect(markers.map(({ name, comment, color }) => [name, comment, color])).toEqual([
      ['Verdict: Keep', 'Use the turn', 'CYAN'],
      ['Sound note', 'Gull', 'WHITE'],
      ['Rolled anyway', 'Tide', 'PINK'],
      ['Break as shot', 'One stop brighter.', 'ORANGE'],
      ['Flag', 'Gull <over> the word & the wind', 'MAGENTA'],
    ]);
    expect(markers.at(-1)?.marked_range.start_time.value).toBe(900_000 + Math.round(12.5 * 25));
    for (const { marked_range: marked } of markers) {
      const from = marked.start_time.value;
      expect(from).toBeGreaterThanOrEqual(900_000);
      expect(from + marked.duration.value).toBeLessThanOrEqual(900_000 + 1500);
    }
  });

  it('are written as JSON with indentation, and a field that no class has is noticed by this check', () => {
    const told: unknown = JSON.parse(takesOtio(shootReader(shootAt('25', false, {}))));
    expect(validate(told)).toBe(true);
    expect(validate({ ...(told as object), colour: 'red' })).toBe(false);
    expect(MORNING).toBeGreaterThan(0);
  });
});
