import type { Bus } from './port.ts';

/** A bus on servers that several fleets may share: all subjects begin with this fleet's own name. */
export function prefixed(bus: Bus, prefix: string): Bus {
  return {
    node: bus.node,
    publish: (subject, bytes) => bus.publish(`${prefix}.${subject}`, bytes),
    subscribe: (subject, hear) => bus.subscribe(`${prefix}.${subject}`, hear),
    request: (subject, bytes, withinMs) => bus.request(`${prefix}.${subject}`, bytes, withinMs),
  };
}
