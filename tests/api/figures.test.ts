import { stampAt } from '@plumbline/replica';
import { expect, it } from 'vitest';
import { call, type Reachable } from '../support/base.ts';
import { openRaw, until } from '../support/clients.ts';
import { startUnit } from '../support/unit.ts';

/** The value of a figure, by its name and labels as they are told. */
async function figures(base: Reachable): Promise<(name: string) => number | undefined> {
  const text = String((await call(base, 'GET', '/metrics')).body);
  const values = new Map(
    text
      .split('\n')
      .filter((line) => line !== '' && !line.startsWith('#'))
      .map((line) => [line.slice(0, line.lastIndexOf(' ')), Number(line.slice(line.lastIndexOf(' ') + 1))]),
  );
  return (name) => values.get(name);
}

it('whoever runs the base can read how long appends take, how many boards and sockets there are, what waits, what was refused and why', async () => {
  const { base, clerk, guest } = await startUnit();
  const before = await figures(base);
  const writer = await openRaw(base, clerk, 'a');
  const reader = await openRaw(base, guest);
  const width = { table: 'shelves', record: 's1', field: 'width', value: 5, seen: 0 };
  const stamp = stampAt(Date.now());
  writer.edit({ n: 1, stamp, entries: [width] });
  writer.edit({ n: 2, stamp: stamp + 1, entries: [{ ...width, value: 'wide' }] });
  writer.edit({ n: 3, stamp: stamp + 2, entries: [{ ...width, field: 'sealed', value: true }] });
  writer.edit({ n: 9, stamp: stamp + 3, entries: [width] });
  await until(() => writer.frames.filter(([type]) => type === 103).length === 3, 'three refusals');
  const after = await figures(base);
  const more = (name: string): number => (after(name) ?? Number.NaN) - (before(name) ?? 0);
  expect(more('plumbline_log_append_seconds_count')).toBeGreaterThan(0);
  expect(more('plumbline_log_append_seconds_sum')).toBeGreaterThan(0);
  expect(more('plumbline_log_append_seconds_bucket{le="+Inf"}')).toBe(
    more('plumbline_log_append_seconds_count'),
  );
  // What is refused by a rule is kept too; a gap is not.
  expect(more('plumbline_log_rows_total')).toBe(3);
  expect(after('plumbline_boards')).toBe(1);
  expect(after('plumbline_sockets')).toBe(2);
  expect(after('plumbline_socket_buffered_bytes')).toBe(0);
  expect(more('plumbline_edits_total{answer="stored"}')).toBe(1);
  for (const code of ['value', 'right', 'gap'])
    expect([code, more(`plumbline_edits_refused_total{code="${code}"}`)]).toEqual([code, 1]);
  const text = String((await call(base, 'GET', '/metrics')).body);
  for (const [name, type] of [
    ['plumbline_log_trouble_total', 'counter'],
    ['plumbline_socket_resyncs_total', 'counter'],
    ['plumbline_socket_closes_total', 'counter'],
    ['plumbline_edits_poisoned_total', 'counter'],
    ['plumbline_addresses_refused_total', 'counter'],
    ['plumbline_http_requests_total', 'counter'],
  ])
    expect(text).toContain(`# TYPE ${name} ${type}\n`);
  reader.close();
  await until(async () => (await figures(base))('plumbline_sockets') === 1, 'one socket');
  // The form of the whole: Prometheus text format 0.0.4, one line a value.
  for (const line of text.trimEnd().split('\n'))
    expect(line).toMatch(
      /^(# (HELP|TYPE) \w+ .+|[a-z_]+(\{[a-z]+="[^"\n]*"(,[a-z]+="[^"\n]*")*\})? -?[\d.]+(e-?\d+)?)$/,
    );
});
