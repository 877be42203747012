import { escapeText, foldLine, planCalendar } from '@plumbline/shared/handover';
import fc from 'fast-check';
import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';
import { shootReader } from '../support/shoot.ts';
import { shootAt } from './shoot.ts';

const seed = seedOf(20_270_516);
console.log(`PLUMBLINE_SEED=${seed}`);

const plain = shootAt('25', false, {});

/** Reads with another library (ical.js, MPL-2.0). */
function read(zone = 'Europe/Copenhagen', day = '2027-05-14') {
  const board = {
    ...plain,
    shoot: { shoot: { ...plain.shoot?.shoot, timeZone: zone } },
    days: { [day]: plain.days?.['2027-05-14'] ?? {} },
    setups: Object.fromEntries(
      Object.entries(plain.setups ?? {}).map(([id, setup]) => [id, { ...setup, day }]),
    ),
  };
  const text = planCalendar(shootReader(board), { board: 'b1', at: Date.UTC(2027, 4, 1), version: 7 });
  const calendar = new ICAL.Component(ICAL.parse(text));
  return { text, events: calendar.getAllSubcomponents('vevent').map((event) => new ICAL.Event(event)) };
}

describe('the plan as iCalendar', () => {
  it('has the day from call to wrap and each setup at its time, breaks kept, as moments that every calendar knows', () => {
    const { events } = read();
    // Copenhagen is at +02:00 in May (IANA time zone database): 07:30 is 05:30 UTC.
    expect(
      events.map(({ uid, startDate, endDate }) => [uid, startDate.toString(), endDate.toString()]),
    ).toEqual([
      ['day-2027-05-14@b1.plumbline.invalid', '2027-05-14T05:30:00Z', '2027-05-14T16:00:00Z'],
      ['setup-1A@b1.plumbline.invalid', '2027-05-14T05:30:00Z', '2027-05-14T06:30:00Z'],
      ['setup-2A@b1.plumbline.invalid', '2027-05-14T06:30:00Z', '2027-05-14T08:15:00Z'],
    ]);
  });

  // IANA time zone database: New York at −05:00 in January, −04:00 in July; Kathmandu at +05:45; Copenhagen goes from
  // +01:00 to +02:00 on 28 March 2027 at 02:00, before the call.
  it.each([
    ['America/New_York', '2027-01-15', '2027-01-15T12:30:00Z'],
    ['America/New_York', '2027-07-15', '2027-07-15T11:30:00Z'],
    ['Asia/Kathmandu', '2027-05-14', '2027-05-14T01:45:00Z'],
    ['Europe/Copenhagen', '2027-03-28', '2027-03-28T05:30:00Z'],
  ])('in %s on %s the call is at %s', (zone, day, moment) => {
    expect(read(zone, day).events[0]?.startDate.toString()).toBe(moment);
  });

  it('keeps commas, semicolons, line ends and any script', () => {
    const { events } = read();
    expect(events[0]?.description).toBe('Tide at 11, boats; æøå');
    expect(events[1]?.location).toBe('Rope walk; north end, Quay 3,\nCorvane');
    expect(events[2]?.summary).toBe(`Setup 2A: ${plain.setups?.['2A']?.description}`);
    expect(events[1]?.component.getFirstPropertyValue('geo')).toEqual([55.12, 10.95]);
  });

  it('has no line of more than 75 octets, and every line ends as RFC 5545 asks', () => {
    const { text } = read();
    const lines = text.split('\r\n');
    expect(lines.pop()).toBe('');
    for (const line of lines) {
      expect(new TextEncoder().encode(line).length).toBeLessThanOrEqual(75);
      expect(line).not.toMatch(/[\r\n]/);
    }
  });

  it('a day without a call is left out, since nobody knows when it begins', () => {
    const { days: _, ...rest } = plain;
    const text = planCalendar(shootReader(rest), { board: 'b1', at: 0, version: 0 });
    expect(text).not.toContain('VEVENT');
  });

  it('whatever is written comes out of the calendar as it went in', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', maxLength: 200 }), (given) => {
        const wanted = given.replace(/\r\n|\r/g, '\n').replace(/(?![\t\n])\p{Cc}/gu, '');
        const line = foldLine(`SUMMARY:${escapeText(given)}`);
        const text = `BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\n${line}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n`;
        const event = new ICAL.Component(ICAL.parse(text)).getFirstSubcomponent('vevent');
        expect(event?.getFirstPropertyValue('summary')).toBe(wanted);
      }),
      { seed, numRuns: 200 },
    );
  });
});
