import type { Socket } from 'node:net';
import { Allowances } from './allowances.ts';

/** What one address of the network may ask of the base. */
export interface AddressLimits {
  readonly connections: number;
  readonly handshakesPerSecond: number;
  readonly handshakesBurst: number;
  /** Frames of all its sockets together. */
  readonly framesPerSecond: number;
  readonly framesBurst: number;
  /** Whether this machine itself is not limited: where a proxy stands before the base, all tablets come from there. */
  readonly exceptLoopback: boolean;
}

export const ADDRESS_LIMITS: AddressLimits = {
  connections: 256,
  handshakesPerSecond: 20,
  handshakesBurst: 300,
  framesPerSecond: 2000,
  framesBurst: 10_000,
  exceptLoopback: true,
};

/** Whether an address is this machine's own. */
export function isLoopbackAddress(address: string): boolean {
  return address === '::1' || address.startsWith('127.') || address.startsWith('::ffff:127.');
}

/** Counts what comes from each address. */
export class Addresses {
  readonly #limits: AddressLimits;
  readonly #now: () => number;
  readonly #refused: (what: 'connection' | 'handshake') => void;
  readonly #isProxy: (address: string) => boolean;
  readonly #connections = new Map<string, number>();
  readonly #handshakes: Allowances;
  readonly #frames: Allowances;

  /**
   * @param refused hears of what is not let in
   * @param isProxy whether connections of an address are those of many
   */
  constructor(
    limits: AddressLimits,
    now: () => number,
    refused: (what: 'connection' | 'handshake') => void,
    isProxy: (address: string) => boolean = () => false,
  ) {
    this.#isProxy = isProxy;
    this.#limits = limits;
    this.#now = now;
    this.#refused = refused;
    this.#handshakes = new Allowances(limits.handshakesPerSecond, limits.handshakesBurst);
    this.#frames = new Allowances(limits.framesPerSecond, limits.framesBurst);
  }

  /** Takes note of a connection, or ends it at once where its address has too many. */
  readonly connected = (socket: Socket): void => {
    const { remoteAddress: address } = socket;
    if (address === undefined || this.#isFree(address) || this.#isProxy(address)) return;
    const open = this.#connections.get(address) ?? 0;
    if (open >= this.#limits.connections) {
      this.#refused('connection');
      socket.destroy();
      return;
    }
    this.#connections.set(address, open + 1);
    socket.once('close', () => {
      const left = (this.#connections.get(address) ?? 1) - 1;
      if (left > 0) this.#connections.set(address, left);
      else this.#connections.delete(address);
    });
  };

  /** How long an address has to wait for its next handshake, ms; 0: now. */
  handshake(address: string): number {
    if (this.#isFree(address)) return 0;
    const now = this.#now();
    const allowance = this.#handshakes.of(address, now);
    if (allowance.take(now)) return 0;
    this.#refused('handshake');
    return allowance.wait(now);
  }

  /** Whether an address may send one more frame. */
  frame(address: string): boolean {
    const now = this.#now();
    return this.#isFree(address) || this.#frames.of(address, now).take(now);
  }

  #isFree(address: string): boolean {
    return this.#limits.exceptLoopback && isLoopbackAddress(address);
  }
}
