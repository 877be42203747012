import { describe, expect, it } from 'vitest';
import { goTo, onAStage, ROLES, sitDown } from '../hands/stage.ts';

/** Every screen that can be empty on a first day. */
const EMPTY = [
  'day',
  'setup',
  'match',
  'sound',
  'kit',
  'kit/cards',
  'kit/power',
  'places',
  'progress',
  'papers',
] as const;

/** Words in which a sentence says what comes here, or who puts it here. */
const TELLS =
  /\b(adds?|takes?|loads?|comes?|belongs?|enters?|entered|appears?|begins?|planned|plan|needs?)\b/i;

const on = onAStage(undefined, { plan: false });

describe('a first start with nothing on the board', () => {
  it.each(ROLES)('every empty screen tells the %s what goes there and who puts it there', async (role) => {
    const { page, context } = await sitDown(on.browser, on.stage, role);
    const silent: string[] = [];
    for (const screen of EMPTY) {
      await goTo(page, on.stage, screen);
      // biome-ignore lint/performance/useDomNodeTextContent: lines as they are laid out are what is read
      const words = await page.locator('main').innerText();
      const tells = words
        .split('\n')
        .some((line) => /^\p{Lu}.{15,}[.:]$/u.test(line.trim()) && TELLS.test(line));
      if (!tells) silent.push(`${screen}: ${words.replace(/\s+/g, ' ').slice(0, 160)}`);
    }
    // the guide of one’s role is one touch from the unit
    await goTo(page, on.stage, 'unit');
    await page.locator(`a[href$="/guide/${role}"]`).click();
    await page.locator(`[data-guide="${role}"]`).waitFor();
    await context.close();
    expect(silent).toEqual([]);
  });
});
