import { apart, sentence } from '@plumbline/shared';
import type { CustodyEvent, Standing } from '@plumbline/shared/kit';
import { CHECK_POINT_WORDS } from '@plumbline/shared/kit';
import type { Desk } from '../../../board/desk.ts';
import { dateIn, formatOf, writeTime } from '../../../values/formats.ts';
import type { ListRow } from './kitDesk.ts';

const DAY_AND_MONTH = { day: 'numeric', month: 'short' } as const;

/** `14:20`, or with its day where that is another: `13 May, 14:20`. */
export function whenWords(desk: Desk, at: number): string {
  const zone = desk.timeZone();
  const time = writeTime(at, zone);
  const isToday = dateIn(at, zone) === dateIn(desk.now(), zone);
  return isToday ? time : `${apart(formatOf(undefined, DAY_AND_MONTH, zone).format(at))}, ${time}`;
}

/** The name of a person, or that it is oneself. */
export function whoWords(desk: Desk, person: string): string {
  return person === desk.me.personId ? 'you' : apart(desk.nameOf('people', person));
}

/** Where an item is, in one line: `With Ada since 14:20`. */
export function whereWords(desk: Desk, row: ListRow): string {
  const { standing, fork } = row.custody;
  if (fork) return `${fork.branches.length > 1 ? 'Two stories' : 'Not clear'}: say where it is`;
  return standing ? standingWords(desk, standing, row.item.packedIn) : 'In its case';
}

/** How an item stands, in one line. */
export function standingWords(desk: Desk, standing: Standing, packedIn: string | undefined): string {
  const { custodian, since, down, offeredTo, lost } = standing;
  if (custodian.kind === 'owner') return 'Back with its owner';
  if (custodian.kind === 'nobody') return 'Out, and nobody is named who has it';
  if (custodian.kind === 'store') {
    if (lost) return 'Lost';
    return packedIn === undefined ? 'In its place' : sentence`In ${packedIn}`;
  }
  const who = whoWords(desk, custodian.person);
  if (lost) return sentence`Lost; last with ${who}`;
  if (offeredTo !== null) return sentence`With ${who}, offered to ${whoWords(desk, offeredTo)}`;
  if (down) {
    const where = down.where === null ? '' : sentence`, ${down.where}`;
    return `${down.attended ? sentence`Set down, ${who} beside it` : sentence`Left alone by ${who}`}${where}, since ${whenWords(desk, down.at)}`;
  }
  return `With ${who}${since === null ? '' : sentence` since ${whenWords(desk, since)}`}`;
}

/** What one event says, in one line. */
export function eventWords(desk: Desk, event: CustodyEvent): string {
  const who = whoWords(desk, event.signedBy);
  const by = who === 'you' ? 'You' : who;
  const to = event.to === undefined ? null : whoWords(desk, event.to);
  const from =
    event.from === undefined || event.from === event.signedBy
      ? ''
      : sentence` from ${whoWords(desk, event.from)}`;
  switch (event.what) {
    case 'signOut':
      return to === null || event.to === event.signedBy
        ? `${by} signed it out`
        : `${by} signed it out to ${to}`;
    case 'handOver':
      return sentence`${by} offered it to ${to ?? 'nobody by name'}`;
    case 'takeOver':
      return `${by} took it${from}`;
    case 'setDown':
      return `${by} set it down${event.where === undefined ? '' : sentence`, ${event.where}`}${event.attended === false ? ', left alone' : ', somebody beside it'}`;
    case 'return':
      return event.toOwner === true ? `${by} gave it back to its owner` : `${by} put it back`;
    case 'damage':
      return `${by} found it damaged`;
    case 'repair':
      return `${by} had it mended`;
    case 'loss':
      return `${by} missed it`;
    case 'settle':
      if (event.condition === 'lost') return `${by} settled: lost`;
      return to === null
        ? `${by} settled: it is back`
        : `${by} settled: ${to === 'you' ? 'you have it' : `${to} has it`}`;
  }
}

/** What was looked at and said, under the line of an event. */
export function detailWords({ looked = [], atFault = [], condition, remark }: CustodyEvent): string {
  const points = (list: readonly (keyof typeof CHECK_POINT_WORDS)[]): string =>
    list.map((point) => CHECK_POINT_WORDS[point].toLowerCase()).join(', ');
  return [
    ...(atFault.length > 0 ? [`At fault: ${points(atFault)}`] : []),
    ...(looked.length > 0 ? [`In order: ${points(looked)}`] : []),
    ...(condition === undefined ? [] : [`Condition: ${condition}`]),
    ...(remark === undefined ? [] : [`“${remark}”`]),
  ].join(' · ');
}
