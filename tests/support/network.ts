import { openWay } from './way.ts';

/** A tablet's way to the base: bytes go through as they are, until a test cuts it. */
export interface Line {
  readonly url: string;
  /** Drops every connection and refuses new ones. */
  cut(): void;
  restore(): void;
  close(): Promise<void>;
}

/** Opens a line on a port of its own to a base on this machine. */
export async function openLine(port: number): Promise<Line> {
  const way = await openWay(port, (near, far) => {
    near.pipe(far);
    far.pipe(near);
  });
  return { ...way, url: `http://127.0.0.1:${way.port}` };
}
