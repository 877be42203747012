import { inflateSync } from 'node:zlib';
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';

/** What another library reads out of a PDF (pdfjs-dist, Apache-2.0). */
export interface ReadPdf {
  readonly title: string;
  readonly pages: readonly ReadPage[];
}

export interface ReadPage {
  readonly width: number;
  readonly height: number;
  /** In the order of the page’s content. */
  readonly items: readonly {
    readonly text: string;
    readonly x: number;
    readonly y: number;
    readonly width: number;
  }[];
  readonly fonts: readonly { readonly name: string; readonly embedded: boolean }[];
}

export async function readPdf(bytes: Uint8Array): Promise<ReadPdf> {
  const loading = getDocument({ data: Uint8Array.from(bytes), useSystemFonts: false, verbosity: 0 });
  const document = await loading.promise;
  const { info } = await document.getMetadata();
  const pages: ReadPage[] = [];
  for (let number = 1; number <= document.numPages; number++) {
    const page = await document.getPage(number);
    await page.getOperatorList();
    const content = await page.getTextContent({ includeMarkedContent: false });
    const { width, height } = page.getViewport({ scale: 1 });
    const items = content.items.flatMap((item) =>
      'str' in item
        ? [{ text: item.str, x: Number(item.transform[4]), y: Number(item.transform[5]), width: item.width }]
        : [],
    );
    const fonts = Object.keys(content.styles).map((id) => {
      const font = page.commonObjs.get(id) as { name: string; missingFile: boolean };
      return { name: font.name, embedded: font.missingFile === false };
    });
    pages.push({ width, height, items, fonts });
  }
  const title = 'Title' in info ? String(info.Title) : '';
  await loading.destroy();
  return { title, pages };
}

/** All that is read, without white space: lines are broken where the page ends, words are not. */
export function closedUp(text: string): string {
  return text.normalize('NFC').replace(/\s+/gu, '');
}

export function textOf({ pages }: ReadPdf): string {
  return closedUp(pages.flatMap(({ items }) => items.map(({ text }) => text)).join(''));
}

/** What the page says of runs whose signs are drawn in another order than they are read in (ISO 32000-1, 14.9.4). */
export function actualTexts(bytes: Uint8Array): string[] {
  const file = Buffer.from(bytes);
  const texts: string[] = [];
  for (let at = file.indexOf('stream\n'); at >= 0; at = file.indexOf('stream\n', at + 1)) {
    if (file.subarray(at - 3, at).toString('latin1') === 'end') continue;
    const start = at + 'stream\n'.length;
    const end = file.indexOf('endstream', start);
    let content: string;
    try {
      content = inflateSync(file.subarray(start, end)).toString('latin1');
    } catch {
      continue;
    }
    for (const [, string = ''] of content.matchAll(/\/ActualText \(((?:\\[\s\S]|[^\\)])*)\)/g)) {
      const plain = string.replace(/\\([nrtbf()\\])/g, (_, sign: string) => ESCAPED[sign] ?? sign);
      texts.push(Buffer.from(plain.slice(2), 'latin1').swap16().toString('utf16le'));
    }
  }
  return texts;
}

const ESCAPED: Readonly<Record<string, string>> = { n: '\n', r: '\r', t: '\t', b: '\b', f: '\f' };
