/** Reads square codes out of a camera's frames. */
export interface CodeReader {
  /** The text of a code in the frame; `null` where none is read. */
  read(frame: HTMLVideoElement): Promise<string | null>;
}

/** What of the browser's own reader is used. */
interface BuiltInReader {
  detect(source: HTMLVideoElement): Promise<readonly { readonly rawValue: string }[]>;
}

interface BuiltIn {
  new (options: { formats: readonly string[] }): BuiltInReader;
  getSupportedFormats(): Promise<readonly string[]>;
}

declare global {
  interface Window {
    /** Not in every browser yet. */
    readonly BarcodeDetector?: BuiltIn;
  }
}

/** What of a frame is looked at, in turn: the middle, where people hold a label, is cheap; then all of it. */
const LOOKS = [
  { part: 0.7, longestPx: 400 },
  { part: 1, longestPx: 640 },
] as const;

/** How long one frame may be looked at, ms. A slow tablet needs more than a fast one, so it grows where it ran out. */
const LOOK_MS = 120;
const MOST_LOOK_MS = 960;

/** The browser's own reader where it has one for square codes, otherwise one of ours over its pixels. */
export async function codeReader(): Promise<CodeReader> {
  const builtIn = window.BarcodeDetector;
  const formats: readonly string[] = (await builtIn?.getSupportedFormats().catch(() => [])) ?? [];
  if (builtIn && formats.includes('qr_code')) {
    const reader = new builtIn({ formats: ['qr_code'] });
    return { read: async (frame) => (await reader.detect(frame))[0]?.rawValue ?? null };
  }
  const { default: decodeQR } = await import('qr/decode.js');
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('2d', { willReadFrequently: true });
  let turn = 0;
  let limit = LOOK_MS;
  return {
    read: async (frame) => {
      const { videoWidth, videoHeight } = frame;
      const look = LOOKS[turn % LOOKS.length];
      turn += 1;
      if (!context || !look || videoWidth === 0) return null;
      const [fromWidth, fromHeight] = [videoWidth * look.part, videoHeight * look.part];
      const scale = Math.min(1, look.longestPx / Math.max(fromWidth, fromHeight));
      const [width, height] = [Math.round(fromWidth * scale), Math.round(fromHeight * scale)];
      // setting a size empties a canvas, so only where it is another
      if (canvas.width !== width) canvas.width = width;
      if (canvas.height !== height) canvas.height = height;
      const [left, top] = [(videoWidth - fromWidth) / 2, (videoHeight - fromHeight) / 2];
      context.drawImage(frame, left, top, fromWidth, fromHeight, 0, 0, width, height);
      const image = context.getImageData(0, 0, width, height);
      const began = performance.now();
      try {
        return decodeQR(image, { timeLimit: limit });
      } catch {
        // most frames have no code in them, which the reader says by throwing; as it does when its time is up
        if (performance.now() - began >= limit) limit = Math.min(MOST_LOOK_MS, limit * 2);
        return null;
      }
    },
  };
}
