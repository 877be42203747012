import { shootKind } from '@plumbline/base';
import { boardDefinition } from '@plumbline/shared';
import { PAPERS } from '@plumbline/shared/papers';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { call, createBoard, joinAs, type Member, type NewBoard, startTestBase } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { randomOf, seedOf } from '../support/random.ts';

const seed = seedOf(20_270_515);
console.log(`PLUMBLINE_SEED=${seed}`);

const told = z.looseObject({
  seq: z.number(),
  at: z.string(),
  number: z.string(),
  sheet: z.object({ rows: z.array(z.unknown()) }),
});

describe('papers from the base', () => {
  let base: Awaited<ReturnType<typeof startTestBase>>;
  let board: NewBoard;
  let director: Member;

  beforeAll(async () => {
    base = await startTestBase({ kind: shootKind() });
    board = await createBoard(base, 'The rope walk');
    director = await joinAs(base, board, 'director', 'Ilse Marrowby');
  });
  afterAll(() => base.stop());

  const ask = (path: string, token: string | undefined = director.session) =>
    call(base, 'GET', `/api/boards/${board.boardId}/${path}`, { token });

  it.each(PAPERS.map(({ kind }) => kind))(
    '%s comes as PDF, CSV and JSON, each as what it is',
    async (kind) => {
      const pdf = await ask(`papers/${kind}.pdf`);
      expect([pdf.status, pdf.headers.get('content-type')]).toEqual([200, 'application/pdf']);
      expect(String(pdf.body).startsWith('%PDF-1.')).toBe(true);
      expect(pdf.headers.get('content-disposition')).toMatch(
        new RegExp(`^attachment; filename="${kind}-\\d+\\.pdf"$`),
      );
      const csv = await ask(`papers/${kind}.csv`);
      expect([csv.status, csv.headers.get('content-type')]).toEqual([
        200,
        'text/csv; charset=utf-8; header=present',
      ]);
      const json = await ask(`papers/${kind}.json`);
      expect(told.parse(json.body).number).toBe(`${kind}-${told.parse(json.body).seq}`);
      expect(json.headers.get('cache-control')).toBe('no-store');
    },
  );

  it('what is no paper, no day and no row is refused in words', async () => {
    expect((await ask('papers/lunch.pdf')).status).toBe(404);
    expect((await ask('papers/takes.docx')).status).toBe(404);
    expect((await ask('papers/takes.pdf?day=tomorrow')).status).toBe(400);
    expect((await ask('papers/takes.pdf?seq=99999')).status).toBe(404);
    expect((await ask('papers/takes.pdf?seq=1&at=1')).status).toBe(400);
    expect((await ask('handover/remarks.vtt')).status).toBe(404);
    expect((await ask('papers/takes.pdf', 'x'.repeat(27))).status).toBe(401);
  });

  it('more at once than the base makes are turned away, and those it takes all come', async () => {
    const answers = await Promise.all(Array.from({ length: 30 }, () => ask('papers/continuity.pdf')));
    const statuses = answers.map(({ status }) => status);
    expect(new Set(statuses)).toEqual(new Set([200, 429]));
    expect(answers.find(({ status }) => status === 429)?.headers.get('retry-after')).toBe('2');
    expect((await ask('papers/kit.json')).status).toBe(200);
  });

  it('the paper of a past moment is what it was then, by its row and by its time, after a restart too', async () => {
    const random = randomOf(seed);
    const camera = await joinAs(base, board, 'camera', 'Teodor Vance');
    const tablet = await openTablet(base, director, boardDefinition);
    const other = await openTablet(base, camera, boardDefinition);
    tablet.set('scenes', 's1', 'number', '1');
    other.set('cameras', 'A', 'name', 'Camera A');
    for (const setup of ['1A', '1B']) tablet.set('setups', setup, 'label', setup);
    await Promise.all([tablet.settled(), other.settled()]);
    const papers = ['camera', 'takes', 'continuity', 'progress'] as const;
    const then: { readonly paper: string; readonly seq: number; readonly body: unknown }[] = [];
    for (let step = 0; step < 14; step++) {
      const setup = random.pick(['1A', '1B']);
      const take = `${setup}.${1 + random.below(3)}`;
      const acts = [
        () => other.set('picture', `${setup}.A`, 'aperture', random.pick([2.8, 4, 5.6])),
        () => other.set('picture', `${setup}.A`, 'iso', random.pick([400, 800])),
        () => tablet.set('takes', take, 'rolledAt', Date.UTC(2027, 4, 14, 8) + step * 60_000),
        () => tablet.set('takes', take, 'verdict', random.pick(['good', 'keep', 'no'])),
        () => tablet.set('setups', setup, 'state', random.pick(['planned', 'inWork', 'complete'])),
        () => tablet.set('setups', setup, 'matchGroup', 'walk'),
      ];
      random.pick(acts)();
      await Promise.all([tablet.settled(), other.settled()]);
      const paper = random.pick(papers);
      const { body } = await ask(`papers/${paper}.json`);
      then.push({ paper, seq: told.parse(body).seq, body });
      // Rows that follow within a millisecond have one time; then only the last of them can be asked for by it.
      await new Promise((resolve) => setTimeout(resolve, 2));
    }
    expect(new Set(then.map(({ seq }) => seq)).size).toBeGreaterThan(8);
    for (const { paper, seq, body } of then) {
      expect((await ask(`papers/${paper}.json?seq=${seq}`)).body).toEqual(body);
      const at = Date.parse(told.parse(body).at);
      expect((await ask(`papers/${paper}.json?at=${at}`)).body).toEqual(body);
    }
    await tablet.close();
    await other.close();
    const folder = base.dataFolder;
    const pdfThen = await fetchBytes(base.url, `papers/takes.pdf?seq=${then[3]?.seq}`);
    const again = await base.restart();
    for (const { paper, seq, body } of then.slice(0, 4)) {
      const answer = await call(
        again,
        'GET',
        `/api/boards/${board.boardId}/papers/${paper}.json?seq=${seq}`,
        {
          token: director.session,
        },
      );
      expect(answer.body).toEqual(body);
    }
    expect(Buffer.compare(pdfThen, await fetchBytes(again.url, `papers/takes.pdf?seq=${then[3]?.seq}`))).toBe(
      0,
    );
    await again.stop();
    base = Object.assign(await startTestBase({ kind: shootKind() }), { dataFolder: folder });
  });

  async function fetchBytes(url: string, path: string): Promise<Buffer> {
    const answer = await fetch(`${url}/api/boards/${board.boardId}/${path}`, {
      headers: { authorization: `Bearer ${director.session}` },
    });
    expect(answer.status).toBe(200);
    return Buffer.from(await answer.arrayBuffer());
  }
});
