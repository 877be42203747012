import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { z } from 'zod';

/** The form that V8 writes CPU profiles in, as far as it is read here. */
const profileSchema = z.object({
  nodes: z.array(
    z.object({
      id: z.int(),
      callFrame: z.object({ functionName: z.string(), url: z.string(), lineNumber: z.int() }),
      children: z.array(z.int()).optional(),
    }),
  ),
  samples: z.array(z.int()),
  timeDeltas: z.array(z.number()),
});

const MOST_LINES = 25;

/** Prints where a process spent its time: by function, itself and with what it called. */
function summarise(path: string): void {
  const profile = profileSchema.parse(JSON.parse(readFileSync(path, 'utf8')));
  const parents = new Map<number, number>();
  for (const { id, children = [] } of profile.nodes) for (const child of children) parents.set(child, id);
  const names = new Map(
    profile.nodes.map(({ id, callFrame: { functionName, url, lineNumber } }) => [
      id,
      `${functionName || '(anonymous)'} ${basename(url)}:${lineNumber + 1}`,
    ]),
  );
  const own = new Map<string, number>();
  const whole = new Map<string, number>();
  const add = (sums: Map<string, number>, name: string, time: number): void => {
    sums.set(name, (sums.get(name) ?? 0) + time);
  };
  let total = 0;
  profile.samples.forEach((sample, index) => {
    const time = (profile.timeDeltas[index] ?? 0) / 1000;
    const name = names.get(sample) ?? '?';
    if (name.startsWith('(idle)')) return;
    total += time;
    add(own, name, time);
    const above = new Set<string>();
    for (let at: number | undefined = sample; at !== undefined; at = parents.get(at))
      above.add(names.get(at) ?? '?');
    for (const each of above) add(whole, each, time);
  });
  console.log(`${basename(path)}: ${total.toFixed(0)} ms busy\n`);
  for (const [title, sums] of [
    ['itself', own],
    ['with what it called', whole],
  ] as const) {
    console.log(`  ${title}`);
    for (const [name, time] of [...sums].sort((a, b) => b[1] - a[1]).slice(0, MOST_LINES)) {
      console.log(`  ${((100 * time) / total).toFixed(1).padStart(6)} %  ${name}`);
    }
    console.log('');
  }
}

for (const path of process.argv.slice(2)) summarise(path);
