import { existsSync, lstatSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** One server of the engine that this process has started, as the system tells of it (Linux). */
export interface EngineProcess {
  readonly pid: number;
  /** Where it keeps what it stores. */
  readonly store: string;
}

/** What servers of the engine have used, all together. */
export interface EngineUse {
  readonly cpuMicroseconds: number;
  readonly rssBytes: number;
  /** Bytes that their files take on disk. */
  readonly diskBytes: number;
}

/** A hundredth of a second: what `/proc` counts in, on all common builds of Linux. */
const TICK_MICROSECONDS = 10_000;

/** Servers of the engine that are children of this process, in order. Empty where the system does not tell. */
export function engineProcesses(): readonly EngineProcess[] {
  if (!existsSync('/proc/self/stat')) return [];
  return readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .flatMap((name): EngineProcess[] => {
      const command = read(`/proc/${name}/cmdline`).split('\0');
      const config = command[2] ?? '';
      if (!command[0]?.endsWith('nats-server') || fieldsOf(name)[1] !== String(process.pid)) return [];
      return [
        {
          pid: Number(name),
          store: join(dirname(config), config.replace(/.*server(\d+)\.conf$/, 'store$1')),
        },
      ];
    })
    .sort((a, b) => a.store.localeCompare(b.store));
}

export function useOf(servers: readonly EngineProcess[]): EngineUse {
  let cpuMicroseconds = 0;
  let rssBytes = 0;
  let diskBytes = 0;
  for (const { pid, store } of servers) {
    const fields = fieldsOf(String(pid));
    // User and system time, `proc(5)` fields 14 and 15; the first here is field 3.
    cpuMicroseconds += (Number(fields[11]) + Number(fields[12])) * TICK_MICROSECONDS;
    rssBytes += Number(/VmRSS:\s+(\d+)/.exec(read(`/proc/${pid}/status`))?.[1] ?? Number.NaN) * 1024;
    diskBytes += onDisk(store);
  }
  const isKnown = servers.length > 0;
  return isKnown
    ? { cpuMicroseconds, rssBytes, diskBytes }
    : { cpuMicroseconds: Number.NaN, rssBytes: Number.NaN, diskBytes: Number.NaN };
}

/** Bytes that the files of a folder take on disk. */
export function onDisk(folder: string): number {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .reduce((sum, { parentPath, name }) => sum + blocksOf(join(parentPath, name)), 0);
}

function blocksOf(path: string): number {
  return (lstatSync(path, { throwIfNoEntry: false })?.blocks ?? 0) * 512;
}

/** The fields of a process's `stat` behind its name, which may hold blanks. */
function fieldsOf(pid: string): readonly string[] {
  const text = read(`/proc/${pid}/stat`);
  return text.slice(text.lastIndexOf(')') + 2).split(' ');
}

/** A file's text; empty where it has just gone. */
function read(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return '';
  }
}
