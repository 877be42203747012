import { appendFileSync, mkdirSync } from 'node:fs';
import { cpus, loadavg, totalmem } from 'node:os';
import { join } from 'node:path';
import type { Figure } from './figures.ts';

/** Where the figures of a run are kept: a line of JSON for each, with what is needed to compare it with another run's. */
export interface Results {
  readonly path: string;
  /** The machine and the time, for people. */
  readonly heading: string;
  write(measure: string, figures: readonly Figure[]): void;
}

/** Begins a file in a folder. */
export function openResults(folder: string, isSmoke: boolean): Results {
  mkdirSync(folder, { recursive: true });
  const at = new Date().toISOString();
  const path = join(folder, `${at.replace(/[:.]/g, '-')}${isSmoke ? '-smoke' : ''}.jsonl`);
  const machine = {
    cores: cpus().length,
    cpu: cpus()[0]?.model.trim() ?? 'unknown',
    memoryGB: Math.round(totalmem() / 1e9),
    node: process.version,
    platform: process.platform,
  };
  const load = (loadavg()[0] ?? 0).toFixed(1);
  return {
    path,
    heading: `${at}  ${machine.cores} x ${machine.cpu}, ${machine.memoryGB} GB, Node ${machine.node}, load ${load} at the start`,
    write: (measure, figures) => {
      for (const figure of figures) {
        const { aim } = figure;
        const isMet = aim && figure.value <= aim.most;
        const line = {
          at,
          measure,
          ...figure,
          ...(aim ? { isMet } : {}),
          isSmoke,
          machine,
          load: Number(load),
        };
        appendFileSync(path, `${JSON.stringify(line)}\n`);
      }
    },
  };
}
