import { sentence } from '@plumbline/shared';
import { effect } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { askedOf, becameOf } from '../board/asking.ts';
import type { Desk } from '../board/desk.ts';
import { say } from './saying.ts';

/** Tells in one passing line what was just asked of this person's department, and what became of what they asked. */
export function useAsksTold(desk: Desk): void {
  useEffect(() => {
    let known: ReadonlySet<string> | null = null;
    return effect(() => {
      // Until the rules are here nobody knows which asks are still needed.
      if (!desk.judging.judged.value) return;
      const { asked, answers } = askedOf(desk);
      const now = [...asked, ...answers];
      const before = known;
      known = new Set(now.map(({ record, state }) => `${record} ${state}`));
      // What stood there when the page was opened is on the chip already.
      if (before === null) return;
      for (const ask of now) {
        if (before.has(`${ask.record} ${ask.state}`)) continue;
        say(
          ask.state === 'open'
            ? sentence`${desk.nameOf('people', ask.askedBy)} asks: ${ask.words}`
            : sentence`${ask.words}: ${becameOf(ask)}`,
        );
      }
    });
  }, [desk]);
}
