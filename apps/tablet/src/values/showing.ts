import { type FrameRate, ndStops } from '@plumbline/craft';
import type { Json } from '@plumbline/replica';
import type { ShootField, Shutter } from '@plumbline/shared';
import { writeTime } from './formats.ts';
import { shutterBeside, tidy, writeShutter } from './trade.ts';

/** A value as it stands on the screen: the figure large, what belongs to it smaller. */
export interface Shown {
  /** Stands before the figure, small: `f/`. */
  readonly before?: string;
  readonly main: string;
  /** Stands after the figure, small. */
  readonly unit?: string;
  /** The same said another way: `2 stops` beside a density. */
  readonly beside?: string;
  /** Words and not a figure: set in running text. */
  readonly words?: boolean;
}

/** What showing a value may need to know beyond it. */
export interface ShowingContext {
  /** The rate that a shutter angle belongs to. */
  readonly rate?: FrameRate | undefined;
  /** The name of a record that a value refers to. */
  readonly nameOf?: (table: string, record: string) => string;
  /** The time zone of the place, for moments. */
  readonly timeZone?: string | undefined;
  /** What a figure is in where its field leaves it to the shoot: a currency. */
  readonly unit?: string | undefined;
}

const MINUS = '−';

/** A figure with a true minus sign. */
export function figure(value: number, decimals: number): string {
  return tidy(value, decimals).replace('-', MINUS);
}

const THIRDS = ['', '⅓', '⅔'] as const;

/** A count of stops as people say it: `2 stops`, `1⅓ stops`, `½ stop`, `0.1 stop`. */
export function writeStops(stops: number): string {
  const size = Math.abs(stops);
  const sign = stops < 0 ? MINUS : '';
  const ending = size > 1 ? 'stops' : 'stop';
  const thirds = Math.round(size * 3);
  if (Math.abs(size * 3 - thirds) < 0.12) {
    const whole = Math.floor(thirds / 3);
    const part = THIRDS[thirds % 3] ?? '';
    const text = whole === 0 && part !== '' ? part : `${whole}${part}`;
    return `${sign}${text} ${whole === 1 && part === '' ? 'stop' : thirds === 0 ? 'stops' : ending}`;
  }
  if (Math.abs(size * 2 - Math.round(size * 2)) < 0.04) {
    const whole = Math.floor(size + 0.02);
    return `${sign}${whole === 0 ? '' : whole}½ ${ending}`;
  }
  return `${sign}${tidy(size, 1)} ${ending}`;
}

/** A difference in stops, signed, to a tenth: `+0.3`, `0.0`, `−1.0`. */
export function writeOffset(stops: number): string {
  const rounded = Math.round(stops * 10) / 10;
  if (rounded === 0) return '0.0';
  return `${rounded > 0 ? '+' : MINUS}${Math.abs(rounded).toFixed(1)}`;
}

export { writeTime };

function isShutter(value: Json): value is Shutter {
  return typeof value === 'object' && value !== null && ('angleDeg' in value || 'seconds' in value);
}

function words(main: string): Shown {
  return { main, words: true };
}

/** How a value of a field is shown. A value that is not of the field's kind is shown as the text it is. */
export function show(field: ShootField, value: Json, context: ShowingContext = {}): Shown {
  const { control } = field;
  const unit = field.unit ?? context.unit ?? null;
  if (typeof value === 'number') {
    switch (control.kind) {
      case 'fNumber':
        return { before: 'f/', main: tidy(value, 2) };
      case 'iso':
        return { before: 'ISO ', main: tidy(value, 0) };
      case 'nd':
        return value === 0
          ? { main: '0', beside: 'clear' }
          : {
              main: value.toFixed(value < 1 || value * 10 === Math.round(value * 10) ? 1 : 2),
              beside: writeStops(ndStops(value)),
            };
      case 'kelvin':
        return { main: tidy(value, 0), unit: 'K' };
      case 'moment':
        return { main: writeTime(value, context.timeZone) };
      case 'number':
        return { main: figure(value, Math.max(control.decimals, 0)), ...(unit !== null && { unit }) };
      default:
        return { main: String(value) };
    }
  }
  if (typeof value === 'boolean') return words(value ? 'On' : 'Off');
  if (control.kind === 'shutter' && isShutter(value)) return showShutter(value, context.rate);
  if (typeof value === 'string') {
    switch (control.kind) {
      case 'choice':
        return words(control.options.find((option) => option.value === value)?.label ?? value);
      case 'reference':
        return words(context.nameOf?.(control.table, value) ?? value);
      case 'frameRate':
        return { main: value, unit: unit ?? 'frames/s' };
      case 'clock':
      case 'timecode':
        return { main: value };
      default:
        return /^\d+x\d+$/.test(value) ? { main: value.replace('x', ' × ') } : words(value);
    }
  }
  if (Array.isArray(value)) {
    const table = control.kind === 'list' ? control.table : undefined;
    const name = (part: Json): string =>
      typeof part === 'string' && table !== undefined
        ? (context.nameOf?.(table, part) ?? part)
        : String(part);
    return words(value.length === 0 ? 'None' : value.map(name).join(', '));
  }
  return words(value === null ? 'Not set' : JSON.stringify(value));
}

function showShutter(shutter: Shutter, rate: FrameRate | undefined): Shown {
  const beside = rate && shutterBeside(shutter, rate);
  const main = writeShutter(shutter);
  const shown: Shown = 'angleDeg' in shutter ? { main } : { main: main.replace(/ s$/, ''), unit: 's' };
  return beside === undefined ? shown : { ...shown, beside: 'angleDeg' in shutter ? `${beside} s` : beside };
}

/** A value in one line of text, as it is read out and copied. */
export function inWords(field: ShootField, value: Json, context: ShowingContext = {}): string {
  if (value === null) return 'not set';
  const { before = '', main, unit } = show(field, value, context);
  const joined = unit === undefined ? '' : unit === '°' ? unit : ` ${unit}`;
  return `${before}${main}${joined}`;
}
