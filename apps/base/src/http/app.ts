import { Hono, type MiddlewareHandler } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { secureHeaders } from 'hono/secure-headers';
import type { BoardKind } from '../kind.ts';
import type { Proxies } from '../proxies.ts';
import { onMirror } from './mirrored.ts';
import { openApiDocument } from './openapi.ts';
import { answerError, Problem } from './problem.ts';
import type { Route } from './route.ts';
import { boardRoutes } from './routes/boards.ts';
import { mirrorRoutes } from './routes/mirror.ts';
import { paperRoutes } from './routes/papers.ts';
import { peopleRoutes } from './routes/people.ts';
import { photoRoutes } from './routes/photos.ts';
import { planRoutes } from './routes/plan.ts';
import { recordingRoutes } from './routes/recordings.ts';
import { systemRoutes } from './routes/system.ts';
import type { Services } from './services.ts';
import { tabletPages } from './tablet.ts';
import { noteAddress, requireAccess, whoIs } from './who.ts';

/** Every HTTP call of the base. */
export function allRoutes(services: Services): readonly Route[] {
  let document: unknown;
  const routes: readonly Route[] = [
    ...boardRoutes(services),
    ...peopleRoutes(services),
    ...photoRoutes(services),
    ...planRoutes(services),
    ...paperRoutes(services),
    ...mirrorRoutes(services),
    ...recordingRoutes(services),
    ...systemRoutes(services, () => {
      document ??= openApiDocument(routes, services.version);
      return document;
    }),
  ];
  return routes;
}

/** What the app reports of its requests: by route, never by address, since addresses may hold what is nobody's business. */
export interface HttpReports {
  answered(request: { method: string; route: string; status: number; milliseconds: number }): void;
  unforeseen(error: unknown): void;
}

/** Puts the HTTP side together. */
export function createApp(options: {
  readonly services: Services;
  readonly routes: readonly Route[];
  readonly sync: MiddlewareHandler;
  readonly tabletFolder: string;
  readonly reports: HttpReports;
  readonly proxies?: Proxies | undefined;
}): Hono {
  const { services, routes, sync, tabletFolder, reports, proxies } = options;
  const app = new Hono();
  app.onError((error, c) => answerError(error, c, reports.unforeseen));
  app.notFound((c) => answerError(new Problem(404, 'There is no such thing here.'), c, reports.unforeseen));

  app.use('*', async (c, next) => {
    if (proxies) noteAddress(c, proxies);
    await next();
  });
  // Before anything that touches headers: what an upgrade answers goes out raw.
  app.get('/sync/:board', sync);

  app.use('*', async (c, next) => {
    const start = performance.now();
    await next();
    const route =
      routes.find(({ path, method }) => path === c.req.routePath && method === c.req.method)?.path ?? '*';
    const milliseconds = performance.now() - start;
    reports.answered({ method: c.req.method, route, status: c.res.status, milliseconds });
  });
  app.use('*', headers());
  app.use('/api/*', async (c, next) => {
    await next();
    // A picture never changes, and says so itself.
    if (!c.res.headers.has('cache-control')) c.header('cache-control', 'no-store');
  });
  for (const route of routes) register(app, services, route);
  for (const path of new Set(routes.map((route) => route.path))) {
    const methods = routes.filter((route) => route.path === path).map(({ method }) => method);
    app.all(path, () => {
      throw new Problem(405, `This address answers ${methods.join(', ')}.`, {
        headers: { allow: methods.join(', ') },
      });
    });
  }
  app.all('/api/*', (c) => c.notFound());
  app.route('/', tabletPages(tabletFolder));
  return app;
}

function register(app: Hono, services: Services, route: Route): void {
  const { accounts, adminKey, limits, kind } = services;
  const [runner = ''] = kind.roles;
  const writers = writersOf(kind);
  const maxSize = route.maxBytes ?? (Array.isArray(route.body) ? limits.importBytes : limits.bodyBytes);
  const refuseOnMirror = onMirror(services, route, writers);
  const onError = (): never => {
    throw new Problem(413, `The body is larger than ${maxSize} bytes.`);
  };
  app.on(route.method, route.path, bodyLimit({ maxSize, onError }), async (c) => {
    const who = await whoIs(c, accounts, adminKey);
    requireAccess(route.access, who, c.req.param('board'), { runner, writers }, c);
    refuseOnMirror(c);
    return route.handle(c, who);
  });
}

/** The roles that may set something on a board. */
function writersOf({ definition }: BoardKind): ReadonlySet<string> {
  const fields = Object.values(definition.tables).flatMap((table) => Object.values(table.fields));
  return new Set(fields.flatMap(({ writers }) => writers));
}

/** The script of the worker that may compile WebAssembly, as the build names it. */
const WASM_WORKER = /^\/assets\/wasmWorker-[A-Za-z0-9_-]+\.js$/;

/** Nothing of another origin, no script or style in the page itself, no frame around it. */
function headers(): MiddlewareHandler {
  return secureHeaders({
    contentSecurityPolicy: {
      defaultSrc: ["'self'"],
      // What reads recorded files compiles WebAssembly of our own origin, in a worker whose policy is that of its own
      // script; nothing else may.
      scriptSrc: ["'self'", (c) => (WASM_WORKER.test(c.req.path) ? "'wasm-unsafe-eval'" : "'self'")],
      // Browsers before 2022 do not count a WebSocket as their page's own.
      connectSrc: [
        "'self'",
        (c) => `ws://${new URL(c.req.url).host}`,
        (c) => `wss://${new URL(c.req.url).host}`,
      ],
      imgSrc: ["'self'", 'data:', 'blob:'],
      objectSrc: ["'none'"],
      baseUri: ["'none'"],
      frameAncestors: ["'none'"],
      formAction: ["'self'"],
    },
    permissionsPolicy: { microphone: [], geolocation: ['self'], camera: ['self'], screenWakeLock: ['self'] },
    referrerPolicy: 'no-referrer',
    strictTransportSecurity: false,
    xFrameOptions: 'DENY',
  });
}
