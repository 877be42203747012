import { JetStreamApiError } from '@nats-io/jetstream';
import * as z from 'zod';
import type { Engine } from './engine.ts';
import { LineFromNewer } from './errors.ts';
import type { Names } from './names.ts';

/** The engine's words for "that is not the last entry of this subject". */
const WRONG_LAST = [10071, 10164];

/** Whether the engine refused an entry because another stands there. */
export function isWrongLast(error: unknown): boolean {
  return error instanceof JetStreamApiError && WRONG_LAST.includes(error.code);
}

/** A record and the engine's number of its last change; 0 for none. */
export interface Found<T> {
  readonly value: T | null;
  readonly at: number;
}

/** Small records of the fleet, each replaced as a whole, and only by whoever has seen the last. */
export class Meta {
  readonly #engine: Engine;
  readonly #names: Names;

  constructor(engine: Engine, names: Names) {
    this.#engine = engine;
    this.#names = names;
  }

  /** @throws LineFromNewer */
  async get<T>(schema: z.ZodType<T>, ...name: readonly string[]): Promise<Found<T>> {
    const message = await this.#engine.jsm.streams.getMessage(this.#names.meta, {
      last_by_subj: this.#names.metaSubject(...name),
    });
    if (!message) return { value: null, at: 0 };
    const json: unknown = JSON.parse(message.string());
    const { v } = z.object({ v: z.int() }).parse(json);
    if (v > 1) throw new LineFromNewer(v);
    return { value: schema.parse(json), at: message.seq };
  }

  /** Writes a record behind the one that was seen; false where another was there first. */
  async put(record: object, seen: number, ...name: readonly string[]): Promise<boolean> {
    try {
      await this.#engine.js.publish(this.#names.metaSubject(...name), JSON.stringify({ v: 1, ...record }), {
        expect: { lastSubjectSequence: seen },
      });
      return true;
    } catch (error) {
      if (isWrongLast(error)) return false;
      throw error;
    }
  }

  /** Resolves if a majority of the servers writes something down right now. */
  async probe(): Promise<void> {
    await this.#engine.js.publish(this.#names.metaSubject('probe'), '{"v":1}');
  }
}
