import { boardDefinition, schemaDocument } from '@plumbline/shared';
import { beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { call, joinWith, type Member, temporaryFolder, viewOf } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';

describe('the base as it is started, with the demo shoot', () => {
  let base: BaseProcess;
  let director: Member;
  let camera: Member;
  const invite = (role: string): string => base.greeting.links?.[role]?.split('#')[1] ?? '';

  beforeAll(async () => {
    const folder = temporaryFolder();
    base = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
    director = await joinWith(base, invite('director'), 'Ana');
    camera = await joinWith(base, invite('camera'), 'Ben');
    return async () => {
      await base.end('SIGTERM');
      folder.remove();
    };
  });

  const findings = async () => {
    const { body } = await call(base, 'GET', `/api/boards/${director.boardId}/findings`, {
      token: director.session,
    });
    return z
      .object({
        findings: z.array(
          z.object({
            id: z.string(),
            rule: z.string(),
            severity: z.enum(['fault', 'break', 'advice']),
            department: z.string(),
            targets: z.array(z.object({ table: z.string(), record: z.string() })),
            message: z.string(),
            measured: z.unknown(),
            allowed: z.unknown(),
            remedies: z.array(z.object({ label: z.string(), changes: z.array(z.unknown()) })),
            accepted: z.unknown(),
          }),
        ),
      })
      .parse(body).findings;
  };

  it('has the shoot of the plan files on it', async () => {
    const view = await viewOf(base, director);
    expect(Object.keys(view.setups ?? {}).length).toBeGreaterThanOrEqual(12);
    expect(Object.keys(view.kit ?? {}).length).toBeGreaterThanOrEqual(30);
    expect(view.people).toMatchObject({
      p1: { name: 'Ana', role: 'director' },
      p2: { name: 'Ben', role: 'camera' },
    });
  });

  it('sees a break that somebody makes, says what would mend it, and sees it mended', async () => {
    const before = new Set((await findings()).map(({ id }) => id));
    const tablet = await openTablet(base, camera, boardDefinition);
    onTestFinished(tablet.close);
    const aperture = tablet.value('picture', '1B.A', 'aperture');
    tablet.set('picture', '1B.A', 'aperture', 2.8);
    await tablet.settled();
    const news = (await findings()).filter(({ id }) => !before.has(id));
    expect(news.length).toBeGreaterThan(0);
    expect(news.some(({ targets }) => targets.some(({ record }) => record === '1B.A'))).toBe(true);
    expect(news.some(({ remedies }) => remedies.length > 0)).toBe(true);
    tablet.set('picture', '1B.A', 'aperture', z.number().parse(aperture));
    await tablet.settled();
    expect(new Set((await findings()).map(({ id }) => id))).toEqual(before);
  });

  it('tells the names of its fields to anybody', async () => {
    const { status, body } = await call(base, 'GET', '/api/schema');
    expect(status).toBe(200);
    expect(body).toEqual(JSON.parse(JSON.stringify(schemaDocument())));
  });

  it('prints the same links at the next start, until one is rotated', async () => {
    const folder = temporaryFolder();
    onTestFinished(folder.remove);
    const first = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
    const { links = {}, boardId = '' } = first.greeting;
    await first.end('SIGTERM');
    const second = await startBaseProcess(folder.path, {
      PLUMBLINE_DEMO: '1',
      PLUMBLINE_PORT: String(first.port),
    });
    expect(second.greeting).toEqual(first.greeting);
    await call(second, 'PUT', `/api/boards/${boardId}/invites/sound`, { token: second.adminKey });
    await second.end('SIGTERM');
    const third = await startBaseProcess(folder.path, {
      PLUMBLINE_DEMO: '1',
      PLUMBLINE_PORT: String(first.port),
    });
    const { sound: _, ...others } = links;
    expect(third.greeting.links).toEqual(others);
    await third.end('SIGTERM');
  });
});
