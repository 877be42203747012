import { remarksVtt } from '@plumbline/shared/handover';
import { describe, expect, it } from 'vitest';
import { WebVTTParser } from 'webvtt-parser';
import { shootReader } from '../support/shoot.ts';
import { shootAt } from './shoot.ts';

/** Reads with the parser of the W3C validator (webvtt-parser, CC0). */
function read(text: string) {
  const { cues, errors } = new WebVTTParser().parse(text, 'metadata');
  expect(errors).toEqual([]);
  return cues.map(({ id, startTime, endTime, text: said }) => ({ id, startTime, endTime, said }));
}

describe('remarks along a take as WebVTT', () => {
  it('notes last as long as the take, a flag stands where it was raised, those of other setups elsewhere', () => {
    const reader = shootReader(shootAt('25', false, { directorNote: 'Use the turn', soundNote: 'Gull' }));
    expect(read(remarksVtt(reader, '1A.1') ?? '')).toEqual([
      { id: 'director', startTime: 0, endTime: 60, said: 'Director: Use the turn' },
      { id: 'sound', startTime: 0, endTime: 60, said: 'Sound: Gull' },
      {
        id: 'flag-f1',
        startTime: 12.5,
        endTime: 16.5,
        said: 'Flag: Gull &lt;over&gt; the word &amp; the wind',
      },
    ]);
  });

  it.each([
    ['one --> two'],
    ['<b>loud</b>'],
    ['first\n\nsecond'],
    ['first\r\n\r\n\r\nsecond'],
    ['NOTE x'],
    ['& &amp;'],
  ])('a note of %j ends no cue and begins none', (note) => {
    const reader = shootReader(shootAt('25', false, { directorNote: note }));
    const cues = read(remarksVtt(reader, '1A.1') ?? '');
    expect(cues.map(({ id }) => id)).toEqual(['director', 'flag-f1']);
    const said = cues[0]?.said.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');
    expect(said?.replace(/\s+/g, '')).toBe(`Director:${note}`.replace(/\s+/g, ''));
  });

  it('there are none of a take that was not cut, and none of no take', () => {
    const reader = shootReader(shootAt('25', false, { cutAt: null }));
    expect(remarksVtt(reader, '1A.1')).toBeNull();
    expect(remarksVtt(reader, '9Z.1')).toBeNull();
  });
});
