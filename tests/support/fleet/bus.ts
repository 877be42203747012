import { type Bus, type BusMessage, NobodyAnswers } from '../../../apps/base/src/cluster/port.ts';
import type { World } from './world.ts';

interface Place {
  readonly when: (act: () => void) => void;
  readonly hears: Map<string, Set<(message: BusMessage) => void>>;
}

/** Messages between simulated nodes: in order from one to another, late, and lost where the way is cut. */
export class Busses {
  readonly #world: World;
  readonly #places = new Map<string, Place>();
  readonly #last = new Map<string, number>();
  /** Pairs that hear nothing of each other. */
  readonly cuts = new Set<string>();

  constructor(world: World) {
    this.#world = world;
  }

  cut(one: string, other: string): void {
    this.cuts.add(`${one} ${other}`);
    this.cuts.add(`${other} ${one}`);
  }

  /** A node is no more, and everybody's system knows. */
  leave(node: string): void {
    this.#places.delete(node);
  }

  join(node: string, when: (act: () => void) => void): Bus {
    const hears: Place['hears'] = new Map();
    this.#places.set(node, { when, hears });
    return {
      node,
      publish: (subject, bytes) => {
        for (const other of this.#listening(node, subject)) {
          this.#send(node, other, (place) => tell(place, subject, bytes, () => {}));
        }
      },
      subscribe: (subject, hear) => {
        const all = hears.get(subject) ?? new Set();
        hears.set(subject, all.add(hear));
        return () => all.delete(hear);
      },
      request: (subject, bytes, withinMs) =>
        new Promise((resolve, reject) => {
          const [other] = this.#listening(node, subject);
          const fail = (why: 'nobody' | 'late') => () => when(() => reject(new NobodyAnswers(subject, why)));
          this.#world.after(withinMs, fail('late'));
          if (other === undefined) {
            this.#world.after(this.#world.some(2), fail('nobody'));
            return;
          }
          this.#send(node, other, (place) =>
            tell(place, subject, bytes, (answer) => this.#send(other, node, () => resolve(answer))),
          );
        }),
    };
  }

  #listening(from: string, subject: string): string[] {
    return [...this.#places]
      .filter(([node, { hears }]) => !this.cuts.has(`${from} ${node}`) && (hears.get(subject)?.size ?? 0) > 0)
      .map(([node]) => node);
  }

  #send(from: string, to: string, act: (place: Place) => void): void {
    if (this.cuts.has(`${from} ${to}`)) return;
    const key = `${from} ${to}`;
    const at = Math.max(this.#world.now + this.#world.some(2), this.#last.get(key) ?? 0);
    this.#last.set(key, at);
    this.#world.after(at - this.#world.now, () => {
      const place = this.#places.get(to);
      if (place && !this.cuts.has(key)) place.when(() => act(place));
    });
  }
}

function tell(place: Place, subject: string, bytes: Uint8Array, respond: (bytes: Uint8Array) => void): void {
  for (const hear of place.hears.get(subject) ?? []) hear({ subject, bytes, respond });
}
