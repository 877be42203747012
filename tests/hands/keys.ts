import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/** Most presses of Tab until something is reached; a screen with more is a screen nobody walks. */
const FAR = 160;

/** Where the keyboard is, in words, or what is wrong with it. */
function focusOf(
  page: Page,
  selector: string,
): Promise<{ there: boolean; wrong: string | null; what: string }> {
  return page.evaluate((wanted) => {
    const focused = document.activeElement;
    if (!focused || focused === document.body || focused === document.documentElement)
      return { there: false, wrong: 'nothing has the keyboard', what: 'body' };
    const style = getComputedStyle(focused);
    const box = focused.getBoundingClientRect();
    const what = focused.outerHTML.slice(0, 140);
    const ringed = [
      focused,
      ...focused.querySelectorAll('*'),
      focused.parentElement,
      focused.parentElement?.parentElement,
    ].some((element) => {
      if (!element) return false;
      const { outlineStyle, outlineWidth, boxShadow } = getComputedStyle(element);
      return (outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 2) || boxShadow !== 'none';
    });
    const page = focused.matches('main');
    const inView = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
    const wrong = page
      ? null
      : style.visibility === 'hidden' || box.width === 0
        ? 'it is on something unseen'
        : !inView
          ? 'it is out of view'
          : ringed
            ? null
            : 'nothing shows where it is';
    return { there: focused.matches(wanted), wrong, what };
  }, selector);
}

/** The keys of one person’s keyboard; nothing here ever points. */
export class Keys {
  readonly page: Page;
  /** Presses of Tab so far. */
  tabs = 0;

  constructor(page: Page) {
    this.page = page;
  }

  /** Walks by Tab to what fits a selector; wherever the keyboard stops on the way it is seen. */
  async to(selector: string): Promise<void> {
    await this.page.locator(selector).first().waitFor();
    let wrapped = false;
    for (let pressed = 0; pressed < FAR; pressed++) {
      const { there, wrong, what } = await focusOf(this.page, selector);
      // past the last of a page the keyboard is at the browser once
      if (what === 'body' && pressed > 0) {
        expect(wrapped, `lost on the way to ${selector}`).toBe(false);
        wrapped = true;
      } else if (pressed > 0) expect(wrong, what).toBeNull();
      if (there) return;
      await this.page.keyboard.press('Tab');
      this.tabs++;
    }
    throw new Error(`no way by Tab to ${selector}`);
  }

  /** Walks to something and presses it. */
  async press(selector: string, key = 'Enter'): Promise<void> {
    await this.to(selector);
    await this.page.keyboard.press(key);
  }

  /** Fails where the keyboard is nowhere after something was done. */
  async kept(after: string): Promise<void> {
    await expect
      .poll(async () => (await focusOf(this.page, '*')).wrong, { message: `after ${after}`, timeout: 5_000 })
      .toBeNull();
  }

  /** Fails unless the keyboard is on what fits a selector. */
  async on(selector: string, after: string): Promise<void> {
    await expect
      .poll(
        async () => {
          const { there, what } = await focusOf(this.page, selector);
          return there ? selector : what;
        },
        { message: `after ${after}`, timeout: 5_000 },
      )
      .toBe(selector);
  }

  /** Finds something by its words and opens it. */
  async find(words: string, thing: string): Promise<void> {
    await this.page.keyboard.press('Control+k');
    await this.on('[type="search"]', 'Find was opened');
    await this.page.keyboard.type(words);
    await this.page.locator(`[data-found-thing="${thing}"]`).waitFor();
    await this.page.keyboard.press('Enter');
    await this.page.getByRole('dialog').waitFor({ state: 'detached' });
  }
}
