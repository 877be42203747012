import type { Page } from 'playwright-core';
import { z } from 'zod';

/** A stored picture is so many times smaller than the screen: letters are grey there, boxes and words keep their places. */
const SMALLER = 4;
/** Steps of each colour in a stored picture. */
const STEP = 17;
/** So far apart, of 255, two points are not the same: more than one browser's way to smooth a letter differs from another's. */
const APART = 33;

const likenessSchema = z.object({ apart: z.number(), side: z.string() });

/** Draws and compares pictures with a page's own canvas, so that it takes no library that reads PNG. */
export class Likeness {
  readonly #page: Page;

  constructor(page: Page) {
    this.#page = page;
  }

  /** A picture made small enough to be kept. */
  async small(picture: Buffer): Promise<Buffer> {
    const url = z.string().parse(
      await this.#page.evaluate(`(async () => {
        ${FUNCTIONS}
        const canvas = shrink(await load(${quoted(picture)}), ${SMALLER}, ${STEP});
        return canvas.toDataURL('image/png');
      })()`),
    );
    return Buffer.from(url.slice(url.indexOf(',') + 1), 'base64');
  }

  /**
   * How much of a picture is not as it was kept.
   *
   * @returns the share of its points, 1 where the sizes differ; and both beside each other with what differs marked
   */
  async compare(picture: Buffer, kept: Buffer): Promise<{ apart: number; side: Buffer }> {
    const { apart, side } = likenessSchema.parse(
      await this.#page.evaluate(`(async () => {
        ${FUNCTIONS}
        const now = shrink(await load(${quoted(picture)}), ${SMALLER}, ${STEP});
        const then = shrink(await load(${quoted(kept)}), 1, 1);
        const { width, height } = then;
        const side = document.createElement('canvas');
        side.width = width * 3;
        side.height = Math.max(height, now.height);
        const drawn = side.getContext('2d');
        drawn.drawImage(then, 0, 0);
        drawn.drawImage(now, width, 0);
        if (now.width !== width || now.height !== height) return { apart: 1, side: side.toDataURL('image/png') };
        const a = now.getContext('2d').getImageData(0, 0, width, height);
        const b = then.getContext('2d').getImageData(0, 0, width, height).data;
        let count = 0;
        for (let i = 0; i < b.length; i += 4) {
          const far = Math.max(...[0, 1, 2].map((c) => Math.abs(a.data[i + c] - b[i + c]))) > ${APART};
          if (far) count++;
          a.data.set(far ? [255, 0, 200, 255] : [a.data[i] / 3, a.data[i + 1] / 3, a.data[i + 2] / 3, 255], i);
        }
        drawn.putImageData(a, width * 2, 0);
        return { apart: count / (width * height), side: side.toDataURL('image/png') };
      })()`),
    );
    return { apart, side: Buffer.from(side.slice(side.indexOf(',') + 1), 'base64') };
  }
}

function quoted(picture: Buffer): string {
  return JSON.stringify(`data:image/png;base64,${picture.toString('base64')}`);
}

/** What runs in the page. */
const FUNCTIONS = `
  const load = async (url) => {
    const image = new Image();
    image.src = url;
    await image.decode();
    return image;
  };
  const shrink = (image, by, step) => {
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(image.width / by);
    canvas.height = Math.round(image.height / by);
    const context = canvas.getContext('2d', { willReadFrequently: true });
    context.imageSmoothingQuality = 'high';
    context.drawImage(image, 0, 0, canvas.width, canvas.height);
    const points = context.getImageData(0, 0, canvas.width, canvas.height);
    for (let i = 0; i < points.data.length; i++) points.data[i] = Math.round(points.data[i] / step) * step;
    context.putImageData(points, 0, 0);
    return canvas;
  };
`;
