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

/** Frames are read at this width at most: a label held at arm's length is large enough in it. */
const WIDTH_PX = 800;

/** How long one frame may be looked at, ms: a slow tablet needs more than the frame of a film. */
const LOOK_MS = 150;

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
  return {
    read: async (frame) => {
      const { videoWidth, videoHeight } = frame;
      if (!context || videoWidth === 0) return null;
      const scale = Math.min(1, WIDTH_PX / videoWidth);
      canvas.width = Math.round(videoWidth * scale);
      canvas.height = Math.round(videoHeight * scale);
      context.drawImage(frame, 0, 0, canvas.width, canvas.height);
      try {
        const image = context.getImageData(0, 0, canvas.width, canvas.height);
        return decodeQR(image, { timeLimit: LOOK_MS });
      } catch {
        // most frames have no code in them, which the reader says by throwing
        return null;
      }
    },
  };
}
