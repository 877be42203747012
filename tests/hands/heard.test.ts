import { expect, it } from 'vitest';
import { onAStage, sitDown } from './stage.ts';

const on = onAStage();

it('who works by ear hears a take roll once, and notices from one place alone', async () => {
  const { page, context } = await sitDown(on.browser, on.stage, 'sound');
  await page.evaluate(() => {
    window.heard = [];
    new MutationObserver((records) => {
      for (const { target, addedNodes, type } of records) {
        const element = target instanceof Element ? target : target.parentElement;
        if (!element?.closest('[aria-live="polite"], [role="status"]')) continue;
        const added = type === 'characterData' ? [target] : [...addedNodes];
        for (const node of added)
          if (node.textContent) window.heard.push(node.textContent.replace(/\s+/g, ' ').trim());
      }
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  expect(await page.locator('[aria-live="polite"]').count()).toBe(1);
  await on.stage.write('director', [['setups/1A/state', 'inWork']]);
  await on.stage.write('camera', [['takes/1A.1/rolledAt', Date.now()]]);
  await page.locator('[data-rolling="1A.1"]').waitFor();
  // the clock runs meanwhile, and says nothing
  await page.waitForTimeout(1_500);
  expect(await page.evaluate(() => window.heard.filter((words) => /rolling/i.test(words)))).toEqual([
    'Rolling: 1A take 1',
  ]);
  expect(await page.evaluate(() => window.heard.some((words) => /\d\d:\d\d:\d\d/.test(words)))).toBe(false);
  await context.close();
});

it('every sheet says what it is for, and everything in it has a name', async () => {
  const { page, context } = await sitDown(on.browser, on.stage, 'camera');
  const openers = [
    '[data-field="picture/1A.A/aperture"] .field-value',
    '[aria-label="About camera A"]',
    '[aria-label="Flags"] .act',
    '[data-find]',
  ];
  for (const opener of openers) {
    await page.locator(opener).first().click();
    const sheet = page.getByRole('dialog', { name: /\w/ });
    await sheet.waitFor();
    expect(await sheet.evaluate((dialog) => dialog.contains(document.activeElement))).toBe(true);
    for (const control of await sheet
      .getByRole('button')
      .or(sheet.getByRole('textbox'))
      .or(sheet.getByRole('searchbox'))
      .all()) {
      await expect(
        control.evaluate(
          (element) =>
            (element.getAttribute('aria-label') ?? '') +
            (element.textContent ?? '') +
            [
              ...(element instanceof HTMLInputElement || element instanceof HTMLTextAreaElement
                ? (element.labels ?? [])
                : []),
            ]
              .map((label) => label.textContent)
              .join(''),
        ),
      ).resolves.toMatch(/\S/);
    }
    await page.keyboard.press('Escape');
    await sheet.waitFor({ state: 'detached' });
  }
  await context.close();
});

declare global {
  interface Window {
    /** What was said in live regions, in order. */
    heard: string[];
  }
}
