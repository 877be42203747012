type Labels = Readonly<Record<string, string>>;

/** Something that is counted, measured or read off, and told in the Prometheus text format. */
interface Metric {
  readonly name: string;
  readonly help: string;
  readonly type: 'counter' | 'gauge' | 'histogram';
  lines(): Iterable<string>;
}

/** Counts events, by label. */
export interface Counter {
  add(labels?: Labels, by?: number): void;
}

/** Sorts durations into buckets. */
export interface Histogram {
  observe(seconds: number): void;
}

/** The base's own figures. */
export class Metrics {
  readonly #metrics: Metric[] = [];

  counter(name: string, help: string): Counter {
    const counts = new Map<string, number>();
    this.#metrics.push({
      name,
      help,
      type: 'counter',
      lines: () => [...counts].map(([labels, count]) => `${name}${labels} ${count}`),
    });
    return {
      add: (labels = {}, by = 1) => {
        const key = labelText(labels);
        counts.set(key, (counts.get(key) ?? 0) + by);
      },
    };
  }

  /** A figure that is read off when somebody asks. */
  gauge(name: string, help: string, read: () => number): void {
    this.#metrics.push({ name, help, type: 'gauge', lines: () => [`${name} ${read()}`] });
  }

  /** @param bounds upper bounds of the buckets, seconds, ascending */
  histogram(name: string, help: string, bounds: readonly number[]): Histogram {
    const counts = bounds.map(() => 0);
    let sum = 0;
    let count = 0;
    this.#metrics.push({
      name,
      help,
      type: 'histogram',
      lines: () => [
        ...bounds.map((bound, index) => `${name}_bucket{le="${bound}"} ${counts[index]}`),
        `${name}_bucket{le="+Inf"} ${count}`,
        `${name}_sum ${sum}`,
        `${name}_count ${count}`,
      ],
    });
    return {
      observe: (seconds) => {
        sum += seconds;
        count++;
        bounds.forEach((bound, index) => {
          if (seconds <= bound) counts[index] = (counts[index] ?? 0) + 1;
        });
      },
    };
  }

  /** All of them as text. */
  text(): string {
    return this.#metrics
      .flatMap(({ name, help, type, lines }) => [
        `# HELP ${name} ${help}`,
        `# TYPE ${name} ${type}`,
        ...lines(),
      ])
      .map((line) => `${line}\n`)
      .join('');
  }
}

function labelText(labels: Labels): string {
  const pairs = Object.entries(labels).map(([name, value]) => `${name}="${value.replace(/["\\\n]/g, '_')}"`);
  return pairs.length > 0 ? `{${pairs.join(',')}}` : '';
}
