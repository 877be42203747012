import type { Hello } from './wire.ts';

/** The least of a WebSocket that a link needs; the browser's and ws's both fit. */
export interface SocketLike {
  send(bytes: Uint8Array<ArrayBuffer>): void;
  close(): void;
}

/** What a socket reports. */
export interface SocketEvents {
  opened(): void;
  received(bytes: Uint8Array): void;
  closed(code: number): void;
}

/** A board as one update of its document. */
export interface WholeBoard {
  readonly epoch: string;
  readonly update: Uint8Array;
}

/** Everything outside that a link uses. */
export interface LinkPorts {
  /** Opens a socket and reports to `events` until it is closed. */
  readonly open: (events: SocketEvents) => SocketLike;
  /**
   * Fetches the board as it was kept lately, where there is a way on which it comes compressed; `null` where it cannot be
   * had so. Left out: it comes over the socket.
   */
  readonly fetchWhole?: () => Promise<WholeBoard | null>;
  /** Runs `act` after a while; the function returned stops it. */
  readonly after: (milliseconds: number, act: () => void) => () => void;
  /** This device's clock, ms. */
  readonly now: () => number;
  /** Evenly spread over [0, 1). */
  readonly random: () => number;
}

/** How the link to the base stands. `ended` does not try again; `code` says why. */
export type LinkStatus =
  | { readonly kind: 'connecting' }
  | { readonly kind: 'live' }
  | { readonly kind: 'waiting'; readonly code: number }
  | { readonly kind: 'ended'; readonly code: number }
  /** The board was restored from a backup: this copy belongs to another epoch. */
  | { readonly kind: 'epoch'; readonly hello: Hello }
  /** The base speaks another version of the wire: this page is old. */
  | { readonly kind: 'outdated' };
