declare module 'subset-font' {
  /** Cuts out of a font what a text needs, and fixes its variable axes. */
  export default function subsetFont(
    font: Buffer,
    text: string,
    options: {
      readonly targetFormat: 'truetype' | 'woff' | 'woff2';
      readonly variationAxes?: Readonly<Record<string, number>>;
    },
  ): Promise<Buffer>;
}
