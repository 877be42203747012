import type { Json } from '@plumbline/replica';
import { boardDefinition } from '@plumbline/shared';
import { z } from 'zod';
import { joinWith } from '../../support/base.ts';
import { openTablet } from '../../support/clients.ts';

/** People who each set two values a second on one setup, for so long; tells how many were stored. */
const { url, board, setup, editors, seconds } = z
  .object({
    url: z.string(),
    board: z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) }),
    setup: z.string(),
    editors: z.int(),
    seconds: z.number(),
  })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const WRITES: readonly (readonly [
  role: string,
  table: string,
  record: string,
  field: string,
  value: (n: number) => Json,
])[] = [
  ['camera', 'picture', `${setup}.A`, 'aperture', (n) => [2.8, 4, 5.6, 8][n % 4] ?? 4],
  ['camera', 'picture', `${setup}.B`, 'iso', (n) => [400, 800, 1600][n % 3] ?? 800],
  ['camera', 'picture', `${setup}.A`, 'keyLux', (n) => 500 + (n % 50) * 10],
  ['sound', 'inputs', `${setup}.R1.1`, 'levelDbfs', (n) => -30 + (n % 12)],
  ['director', 'setups', setup, 'description', (n) => `Described for the ${n}th time`],
  ['sound', 'inputs', `${setup}.R1.2`, 'source', (n) => `Source ${n % 9}`],
  ['camera', 'picture', `${setup}.B`, 'whiteBalanceK', (n) => 3200 + (n % 20) * 100],
  ['director', 'setups', setup, 'plannedMinutes', (n) => 10 + (n % 30)],
];

const reachable = { url, adminKey: '' };
const tablets = await Promise.all(
  Array.from({ length: editors }, async (_, index) => {
    const [role = 'camera', table = '', record = '', field = '', value] = WRITES[index % WRITES.length] ?? [];
    const member = await joinWith(reachable, board.invites[role] ?? '', `Editor ${index + 1}`);
    const tablet = await openTablet(reachable, member, boardDefinition);
    return { tablet, table, record, field, value: value ?? (() => null) };
  }),
);
let edits = 0;
const end = Date.now() + seconds * 1000;
while (Date.now() < end) {
  for (const { tablet, table, record, field, value } of tablets) {
    tablet.set(table, record, field, value(edits));
    edits++;
    await new Promise((resolve) => setTimeout(resolve, 500 / editors));
  }
}
await Promise.all(tablets.map(({ tablet }) => tablet.settled()));
for (const { tablet } of tablets) tablet.close();
process.send?.({ edits });
process.disconnect();
