import type { Allowance } from '@plumbline/replica';
import type { Context } from 'hono';
import { deleteCookie, setCookie } from 'hono/cookie';
import * as z from 'zod';
import type { Session } from '../../accounts/accounts.ts';
import { Allowances } from '../../allowances.ts';
import { Problem } from '../problem.ts';
import { type Route, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { addressOf, SESSION_COOKIE, type Who } from '../who.ts';
import { boardParams, idSchema, nameSchema } from './forms.ts';

/** A cookie lives as long as a browser allows; whether its session is good is for the base to say. */
const COOKIE_SECONDS = 400 * 24 * 60 * 60;

/** Coming in and going. */
export function peopleRoutes(services: Services): readonly Route[] {
  const { accounts, kind, isSecure } = services;
  const attempts = attemptsByAddress(services);
  const inviteParams = boardParams.extend({ role: z.enum([...kind.roles]) });
  return [
    route({
      method: 'POST',
      path: '/api/join',
      access: 'open',
      summary: 'Comes in with an invite, and gets a session as a cookie and as a token',
      body: z.object({ invite: z.string().min(1).max(200), name: nameSchema }),
      answer: {
        status: 200,
        schema: z.object({
          boardId: z.string(),
          personId: z.string(),
          role: z.string(),
          session: z.string(),
          expiresAt: z.number().describe('ms since 1970; put off while the session is used'),
        }),
      },
      problems: [403, 429, 503],
      handle: async ({ body, c }) => {
        const attempt = attempts(c);
        const invite = await accounts.invite(body.invite);
        if (!invite) throw new Problem(403, 'This invite lets nobody in. Ask for a new link.');
        attempt.giveBack();
        const board = await boardOf(services, invite.board);
        const isVisitor = services.mirrors.isElsewhere(invite.board);
        const { person, secret, expiresAt } = await accounts.join(invite, body.name, isVisitor);
        if (invite.person === null && !isVisitor) await board.write(person.id, kind.person(person));
        setCookie(c, SESSION_COOKIE, secret, {
          httpOnly: true,
          sameSite: 'Strict',
          secure: isSecure,
          path: '/',
          maxAge: COOKIE_SECONDS,
        });
        return { boardId: invite.board, personId: person.id, role: person.role, session: secret, expiresAt };
      },
    }),
    route({
      method: 'GET',
      path: '/api/session',
      access: 'session',
      summary: 'Who this session belongs to',
      answer: {
        status: 200,
        schema: z.object({
          boardId: z.string(),
          title: z.string(),
          personId: z.string(),
          name: z.string(),
          role: z.string(),
          expiresAt: z.number(),
        }),
      },
      handle: async ({ who }) => {
        const { board, person: personId, name, role, expiresAt } = sessionOf(who);
        const title = (await accounts.board(board))?.title ?? '';
        return { boardId: board, title, personId, name, role, expiresAt };
      },
    }),
    route({
      method: 'POST',
      path: '/api/leave',
      access: 'session',
      summary: 'Ends this session; the person stays on the board',
      answer: { status: 204 },
      handle: async ({ who, c }) => {
        await accounts.leave(sessionOf(who));
        deleteCookie(c, SESSION_COOKIE, { path: '/' });
      },
    }),
    route({
      method: 'POST',
      path: '/api/second-device',
      access: 'session',
      summary: 'An invite for the same person’s second device: good once, for ten minutes',
      answer: {
        status: 201,
        schema: z.object({
          invite: z.string(),
          expiresAt: z.number(),
          addresses: z
            .array(z.string())
            .describe('where other devices reach this base; none: only this machine does'),
        }),
      },
      handle: async ({ who }) => {
        const { token, expiresAt } = await accounts.secondDevice(sessionOf(who));
        return { invite: token, expiresAt, addresses: [...services.reachableAt()] };
      },
    }),
    route({
      method: 'PUT',
      path: '/api/boards/:board/invites/:role',
      access: 'runner',
      summary: 'A new invite for a role; the old one lets nobody in any more',
      params: inviteParams,
      answer: { status: 200, schema: z.object({ invite: z.string() }) },
      handle: async ({ params }) => {
        await boardOf(services, params.board);
        return { invite: await accounts.rotateInvite(params.board, params.role) };
      },
    }),
    route({
      method: 'DELETE',
      path: '/api/boards/:board/invites/:role',
      access: 'runner',
      summary: 'Withdraws a role’s invite',
      params: inviteParams,
      answer: { status: 204 },
      handle: async ({ params }) => {
        const withdrawn = await accounts.withdrawInvite(params.board, params.role);
        if (!withdrawn) throw new Problem(404, 'That role has no invite.');
      },
    }),
    route({
      method: 'DELETE',
      path: '/api/boards/:board/people/:person',
      access: 'runner',
      summary: 'A person has left for good: their sessions end and their sockets close',
      params: boardParams.extend({ person: idSchema }),
      answer: { status: 204 },
      problems: [503],
      handle: async ({ params, who }) => {
        const board = await boardOf(services, params.board);
        const person = await accounts.removePerson(params.board, params.person);
        if (!person) throw new Problem(404, 'There is no such person on this board.');
        // A visitor of a board that is kept elsewhere does not stand on it.
        if (services.mirrors.isElsewhere(params.board)) return;
        await board.write(who.kind === 'session' ? who.session.person : null, kind.person(person));
      },
    }),
  ];
}

function sessionOf(who: Who): Session {
  if (who.kind !== 'session') throw new Problem(401, 'This call needs a session.');
  return who.session;
}

/** Bounds how often an address may try an invite that is none; one that lets somebody in is given back. */
function attemptsByAddress({ limits, clock }: Services): (c: Context) => Allowance {
  const byAddress = new Allowances(limits.joinsPerMinute / 60, limits.joinsBurst);
  return (c) => {
    const now = clock.now();
    const attempts = byAddress.of(addressOf(c), now);
    if (!attempts.take(now)) {
      const seconds = Math.ceil(attempts.wait(now) / 1000);
      throw new Problem(429, 'Too many attempts to join from here. Wait a little.', {
        headers: { 'retry-after': String(seconds) },
      });
    }
    return attempts;
  };
}
