import type { ShootReader } from '../tables/index.ts';
import { takeOf } from '../views/takes.ts';
import { flagsDuring } from './otio.ts';
import { takeName } from './takes.ts';

/** How long a remark that has a moment and no length is shown, s. */
const SHOWN_SECONDS = 4;

interface Cue {
  readonly id: string;
  readonly from: number;
  readonly to: number;
  readonly text: string;
}

/** `00:01:02.345` */
function stamp(seconds: number): string {
  const ms = Math.round(seconds * 1000);
  const part = (value: number, width: number): string => String(value).padStart(width, '0');
  return `${part(Math.floor(ms / 3_600_000), 2)}:${part(Math.floor(ms / 60_000) % 60, 2)}:${part(Math.floor(ms / 1000) % 60, 2)}.${part(ms % 1000, 3)}`;
}

/** Text inside a cue: no mark-up, no arrow, no blank line that would end it. */
function cueText(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replace(/\s*[\r\n]+\s*/g, '\n')
    .trim();
}

/**
 * What was remarked along a take, timed from its first frame: notes and findings over its whole length, flags at the
 * moment they were raised.
 *
 * @param record `setup.n`
 * @returns the text of the file, or `null` where the take was not rolled and cut
 * @source W3C, WebVTT: The Web Video Text Tracks Format
 */
export function remarksVtt(reader: ShootReader, record: string): string | null {
  const take = takeOf(reader, record);
  const { view, seconds } = take;
  if (seconds === undefined || seconds <= 0) return null;
  const whole = (id: string, title: string, text: string | undefined): Cue[] =>
    text === undefined || text.trim() === '' ? [] : [{ id, from: 0, to: seconds, text: `${title}: ${text}` }];
  const cues = [
    ...whole('director', 'Director', view.directorNote),
    ...whole('picture', 'Picture', view.pictureNote),
    ...whole('sound', 'Sound', view.soundNote),
    ...whole('rolled-anyway', 'Rolled anyway', view.rolledAnyway),
    ...(view.findingsAsShot ?? []).flatMap(({ message, rule }, index) =>
      whole(`finding-${index + 1}`, 'Found', message ?? rule),
    ),
    ...flagsDuring(reader, take).map(({ id, what, seconds: at }): Cue => {
      const from = Math.min(at, Math.max(0, seconds - 0.5));
      return { id: `flag-${id}`, from, to: Math.min(seconds, from + SHOWN_SECONDS), text: `Flag: ${what}` };
    }),
  ].sort((a, b) => a.from - b.from);
  const head = `WEBVTT ${cueText(takeName(reader, take)).replaceAll('\n', ' ')}`;
  const blocks = cues.map(
    ({ id, from, to, text }) => `${id}\n${stamp(from)} --> ${stamp(to)}\n${cueText(text)}`,
  );
  return `${[head, ...blocks].join('\n\n')}\n`;
}
