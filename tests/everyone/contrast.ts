import type { Page } from 'playwright-core';
import { z } from 'zod';

/** `sign`: a drawing that stands for a word; `field`: the edge of what is typed into. */
export const KINDS = ['text', 'sign', 'field'] as const;

/** The contrast of two colours, `#rrggbb` or `#rgb`, by the same definition. */
export function contrastOf(one: string, other: string): number {
  const [a, b] = [luminanceOf(one), luminanceOf(other)];
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
}

function luminanceOf(hex: string): number {
  const parts = /^#([0-9a-f])([0-9a-f])([0-9a-f])$/i.test(hex)
    ? [...hex.slice(1)].map((digit) => digit + digit)
    : (hex.slice(1).match(/../g) ?? []);
  const [red = 0, green = 0, blue = 0] = parts.map((part) => {
    const value = Number.parseInt(part, 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

const pairSchema = z.object({
  kind: z.enum(KINDS),
  ratio: z.number(),
  colours: z.string(),
  where: z.string(),
});

/** Something that is read, and the least contrast that it has to anything right behind it. */
export type Pair = z.infer<typeof pairSchema>;

/**
 * Every text, sign and edge of a field that a page shows, with its contrast as WCAG 2.2 defines it ("contrast ratio" and
 * "relative luminance", https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio). What is behind is laid together from the
 * grounds of the elements around, opacity counted; of a gradient the worst colour counts. What is inactive is left out, as
 * 1.4.3 and 1.4.11 leave it out, and text within drawings is held against the drawing's own ground.
 */
export async function pairsOf(page: Page): Promise<Pair[]> {
  const found = await page.evaluate(() => {
    type Colour = readonly [red: number, green: number, blue: number, alpha: number];
    const canvas = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
    const known = new Map<string, Colour>();
    const read = (text: string): Colour => {
      let colour = known.get(text);
      if (!colour && canvas) {
        canvas.clearRect(0, 0, 1, 1);
        canvas.fillStyle = text;
        canvas.fillRect(0, 0, 1, 1);
        const [red = 0, green = 0, blue = 0, alpha = 0] = canvas.getImageData(0, 0, 1, 1).data;
        colour = [red, green, blue, alpha / 255];
        known.set(text, colour);
      }
      return colour ?? [0, 0, 0, 0];
    };
    const over = ([r, g, b, a]: Colour, [R, G, B]: Colour): Colour => [
      r * a + R * (1 - a),
      g * a + G * (1 - a),
      b * a + B * (1 - a),
      1,
    ];
    const linear = (part: number): number =>
      part / 255 <= 0.04045 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4;
    const luminance = ([r, g, b]: Colour): number =>
      0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
    const contrast = (one: Colour, other: Colour): number => {
      const [a, b] = [luminance(one), luminance(other)];
      return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    };
    const COLOUR = /(?:rgba?|color|oklab|oklch|lab|lch|hsla?)\([^)]*\)/g;
    const grounds = new Map<Element, readonly Colour[]>();
    const behind = (element: Element | null): readonly Colour[] => {
      if (element === null) return [[255, 255, 255, 1]];
      let colours = grounds.get(element);
      if (!colours) {
        const { backgroundColor, backgroundImage } = getComputedStyle(element);
        const below = behind(element.parentElement);
        const painted = [
          backgroundColor,
          ...(backgroundImage.includes('gradient') ? (backgroundImage.match(COLOUR) ?? []) : []),
        ].map(read);
        const [plain = [0, 0, 0, 0] as const, ...gradient] = painted;
        const base = below.map((colour) => over(plain, colour));
        colours =
          gradient.length === 0 ? base : gradient.flatMap((stop) => base.map((colour) => over(stop, colour)));
        grounds.set(element, colours);
      }
      return colours;
    };
    const opacityOf = (element: Element): number => {
      let opacity = 1;
      for (let at: Element | null = element; at; at = at.parentElement)
        opacity *= Number(getComputedStyle(at).opacity);
      return opacity;
    };
    const isShown = (element: Element): boolean => {
      const { width, height } = element.getBoundingClientRect();
      return (
        width > 1 &&
        height > 1 &&
        element.checkVisibility({ opacityProperty: true, visibilityProperty: true }) &&
        !element.closest('.unseen, :disabled, [aria-disabled="true"]')
      );
    };
    const hex = ([r, g, b]: Colour): string =>
      `#${[r, g, b].map((part) => Math.round(part).toString(16).padStart(2, '0')).join('')}`;
    const nameOf = (element: Element): string => {
      const named = element.closest('[class]');
      return `${element.tagName.toLowerCase()} in .${named?.getAttribute('class')?.trim().replace(/\s+/g, '.') ?? ''}`;
    };
    const worst = (
      kind: 'text' | 'sign' | 'field',
      element: Element,
      colour: string,
      at: Element,
      words = '',
    ) => {
      const [r, g, b, a] = read(colour);
      const seen = behind(at).map((ground) => {
        const front = over([r, g, b, a * opacityOf(element)], ground);
        return { ratio: contrast(front, ground), colours: `${hex(front)} on ${hex(ground)}` };
      });
      const least = seen.reduce((one, other) => (other.ratio < one.ratio ? other : one));
      return { kind, ...least, where: `${nameOf(element)}${words && ` “${words.slice(0, 30)}”`}` };
    };

    const pairs: ReturnType<typeof worst>[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const element = node.parentElement;
      const words = node.textContent?.trim() ?? '';
      if (!element || words === '' || !isShown(element) || element.closest('script, style, title')) continue;
      const { color, fill } = getComputedStyle(element);
      const drawing = element.closest('svg');
      pairs.push(worst('text', element, drawing ? fill : color, drawing ?? element, words));
    }
    for (const sign of document.querySelectorAll('svg.mark, svg.icon, button svg, a svg, output svg'))
      if (isShown(sign)) pairs.push(worst('sign', sign, getComputedStyle(sign).color, sign));
    for (const field of document.querySelectorAll('input, textarea, select')) {
      // what the browser draws by itself is its own affair, as in 1.4.11
      if (!isShown(field) || field.matches('[type="range"], [type="checkbox"], [type="radio"]')) continue;
      const { borderTopWidth, borderTopColor, boxShadow, backgroundColor } = getComputedStyle(field);
      const edge = Number.parseFloat(borderTopWidth) > 0 ? borderTopColor : boxShadow.match(COLOUR)?.[0];
      // either its edge or its own ground tells it from what is around
      pairs.push(worst('field', field, edge ?? backgroundColor, field.parentElement ?? field));
    }
    return pairs;
  });
  return z.array(pairSchema).parse(found);
}

/** The worst, one line for each pair of colours. */
export function worstOf(pairs: readonly Pair[], count = 8): string[] {
  const byColours = new Map(pairs.map((pair) => [pair.colours, pair]));
  return [...byColours.values()]
    .sort((a, b) => a.ratio - b.ratio)
    .slice(0, count)
    .map(({ ratio, colours, where }) => `${ratio.toFixed(2)}: ${colours}, ${where}`);
}
