import type { Page } from 'playwright-core';

/**
 * A picture as a film of one still for a browser's fake camera: YUV4MPEG2 with 4:2:0 sampling, the picture in the middle
 * of a grey table, a little askew as a hand holds it.
 *
 * @param page decodes the picture
 * @param picture a PNG in base 64
 */
export async function y4m(
  page: Page,
  picture: string,
  { width, height }: { width: number; height: number },
): Promise<Buffer> {
  const luma = await page.evaluate(
    async ({ png, w, h }) => {
      const bytes = Uint8Array.from(atob(png), (character) => character.charCodeAt(0));
      const image = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
      const canvas = document.createElement('canvas');
      canvas.width = w;
      canvas.height = h;
      const context = canvas.getContext('2d');
      if (!context) throw new Error('no canvas');
      context.fillStyle = '#777';
      context.fillRect(0, 0, w, h);
      const scale = Math.min((w * 0.85) / image.width, (h * 0.85) / image.height);
      context.translate(w / 2, h / 2);
      context.rotate(0.09);
      context.scale(scale, scale);
      context.drawImage(image, -image.width / 2, -image.height / 2);
      const { data } = context.getImageData(0, 0, w, h);
      let text = '';
      for (let i = 0; i < data.length; i += 4) {
        const grey = 0.299 * (data[i] ?? 0) + 0.587 * (data[i + 1] ?? 0) + 0.114 * (data[i + 2] ?? 0);
        // video levels: black at 16, white at 235 (ITU-R BT.601)
        text += String.fromCharCode(Math.round(16 + (grey * 219) / 255));
      }
      return btoa(text);
    },
    { png: picture, w: width, h: height },
  );
  const frame = Buffer.concat([
    Buffer.from('FRAME\n'),
    Buffer.from(luma, 'base64'),
    Buffer.alloc((width * height) / 2, 128),
  ]);
  const header = Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`);
  return Buffer.concat([header, ...Array.from({ length: 10 }, () => frame)]);
}
