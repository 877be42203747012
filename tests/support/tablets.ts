import type { BrowserContext, Page } from 'playwright-core';
import { joinAs, openTablet, SIZES, type TestBrowser } from './browser.ts';

/** Where tablets come from: asked for when the first is lent, since hooks make it. */
export interface TabletSource {
  readonly browser: TestBrowser;
  /** Where the base listens: `http://127.0.0.1:PORT`. */
  readonly base: string;
  readonly boardId: string;
  /** The token of each role's invite. */
  readonly invites: Readonly<Record<string, string>>;
}

export interface Wanted {
  readonly size?: keyof typeof SIZES;
  readonly theme?: 'dark' | 'light';
  /** Whose tablet it is; left out: `A camera`, `A director`. */
  readonly name?: string;
}

/** A tablet on the board, for as long as one test has it. */
export interface LentTablet {
  readonly page: Page;
  readonly context: BrowserContext;
  /** What the page reported as an error since it was lent. */
  readonly errors: readonly string[];
  /** Goes to a screen of the board inside the app: `kit/cards`. One that is open already is left and opened anew. */
  go(screen: string): Promise<void>;
  /** Puts it back for the next test. What is not given back, as by a test that fails, is not lent again. */
  giveBack(): Promise<void>;
}

export interface Tablets {
  /** A joined tablet of a role at a screen of the board: `places/mill`. Lent twice at once, it is two. */
  at(role: string, screen: string, wanted?: Wanted | keyof typeof SIZES): Promise<LentTablet>;
  /** Closes all that were ever lent. */
  close(): Promise<void>;
}

interface Kept {
  readonly whose: string;
  readonly context: BrowserContext;
  readonly page: Page;
  readonly errors: string[];
}

/** A screen that shows nothing of the board, so that a tablet nobody has in hand draws nothing. */
const AT_REST = 'guide';

/**
 * Goes to a screen without loading the page anew, as a touch on a link does. Resolves when the screen is there; whoever
 * asks for what is on it waits for that.
 */
export async function goInside(page: Page, boardId: string, screen: string): Promise<void> {
  await page.evaluate(async (path) => {
    history.pushState(null, '', path);
    dispatchEvent(new PopStateEvent('popstate'));
    await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
  }, `/board/${boardId}/${screen}`);
  await page.locator('main :is(h1, h2)').first().waitFor({ state: 'attached' });
}

/** Goes to a screen by way of another, so that it is made anew also where it is open already. */
export async function goAnew(page: Page, boardId: string, screen: string): Promise<void> {
  await goInside(page, boardId, AT_REST);
  await goInside(page, boardId, screen);
}

/**
 * Tablets that have joined and are kept from test to test of a file, since a new one takes longer to open than most tests
 * take. A screen is made anew each time one is lent; what the app keeps of its person (filters, appearance, what can be
 * undone) is as the test before left it. Not for tests of reloads, of new devices, of sessions or of the network gone.
 */
export function tabletsOf(source: () => TabletSource): Tablets {
  const all: Kept[] = [];
  const free: Kept[] = [];

  async function open(whose: string, role: string, name: string, theme: 'dark' | 'light'): Promise<Kept> {
    const { browser, base, invites } = source();
    const opened = await openTablet(browser, { base, theme });
    await joinAs(opened.page, invites[role] ?? '', name);
    const kept = { whose, ...opened };
    all.push(kept);
    return kept;
  }

  return {
    async at(role, screen, asked = {}) {
      const wanted = typeof asked === 'string' ? { size: asked } : asked;
      const { size = 'landscape', theme = 'dark', name = `A ${role}` } = wanted;
      const whose = JSON.stringify([role, theme, name]);
      const index = free.findIndex((kept) => kept.whose === whose);
      const [tablet = await open(whose, role, name, theme)] = index < 0 ? [] : free.splice(index, 1);
      const { page, context, errors } = tablet;
      const { boardId } = source();
      errors.length = 0;
      await page.setViewportSize(SIZES[size]);
      await goInside(page, boardId, screen);
      return {
        page,
        context,
        errors,
        go: (to) => goAnew(page, boardId, to),
        giveBack: async () => {
          await goInside(page, boardId, AT_REST);
          free.push(tablet);
        },
      };
    },
    async close() {
      free.length = 0;
      await Promise.all(all.splice(0).map(({ context }) => context.close()));
    },
  };
}
