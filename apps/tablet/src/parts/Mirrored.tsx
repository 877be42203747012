import { useSignalEffect } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import * as z from 'zod/mini';
import { useDesk } from '../board/useDesk.ts';
import { behindWords, timeOfDay } from './age.ts';
import { Mark } from './Mark.tsx';
import '../style/banners.css';

const stateSchema = z.object({
  kind: z.string(),
  since: z.optional(z.number()),
  words: z.optional(z.string()),
});
const standingSchema = z.object({
  kept: z.enum(['here', 'elsewhere']),
  asOf: z.nullable(z.number()),
  behindMs: z.nullable(z.number()),
  rowsBehind: z.number(),
  sent: z.nullable(z.object({ state: stateSchema, rowsBehind: z.number() })),
});

/** What the base said of this board's copies, and when by this page's own steady clock, ms. */
type Told = z.infer<typeof standingSchema> & { readonly at: number };

/** A copy is asked about this often, ms; a board that is sent elsewhere is looked after once a minute. */
const ASK_MS = 5000;
const LOOK_MS = 60_000;
/** A copy that hears nothing for so long is behind: the word of a quiet board comes every ten seconds. */
const CURRENT_MS = 20_000;
/** A link that was cut for so long is told to the director, ms. */
const CUT_MS = 120_000;

/** Says of a board that is kept elsewhere how far its copy here is, and to the director what is wrong with a copy. */
export function Mirrored(): JSX.Element | null {
  const desk = useDesk();
  const { boardId } = desk.connection.membership;
  const [told, setTold] = useState<Told | null>(null);
  const [live, setLive] = useState(0);
  // After each return of the link it may be another board: the copy may have been taken into use.
  useSignalEffect(() => {
    if (desk.live.link.status.value.kind === 'live') setLive((count) => count + 1);
  });
  useEffect(() => {
    // without a link there is nobody to ask, and with the next one it is asked
    if (live === 0) return;
    let timer: ReturnType<typeof setTimeout> | undefined;
    let gone = false;
    const ask = async (): Promise<void> => {
      const answer = await askStanding(boardId);
      if (gone) return;
      if (answer) setTold(answer);
      const kept = answer ?? told;
      if (kept?.kept === 'elsewhere') timer = setTimeout(ask, ASK_MS);
      else if (kept?.sent) timer = setTimeout(ask, LOOK_MS);
    };
    void ask();
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [boardId, live]);
  if (!told) return null;
  if (told.kept === 'elsewhere') return <Copy told={told} />;
  return desk.me.role === 'director' ? <Sent told={told} now={desk.now} /> : null;
}

/** This is a copy. */
function Copy({ told }: { told: Told }): JSX.Element {
  const [now, setNow] = useState(performance.now());
  useEffect(() => {
    const timer = setInterval(() => setNow(performance.now()), 1000);
    return () => clearInterval(timer);
  }, [told]);
  const behind = told.behindMs === null ? null : told.behindMs + Math.max(0, now - told.at);
  const current = behind !== null && behind < CURRENT_MS && told.rowsBehind === 0;
  return (
    <div class="banner" data-mirror={current ? 'current' : 'behind'}>
      <Mark name={current ? 'good' : 'advice'} />
      <span class="banner-words">
        {told.asOf === null || behind === null ? (
          'A copy of the board on location: nothing has come yet. Read only.'
        ) : (
          <>
            As of <span class="number">{timeOfDay(told.asOf)}</span>,{' '}
            <span class="number">{behindWords(behind)}</span> behind. A copy of the board on location, read
            only.
          </>
        )}
      </span>
    </div>
  );
}

/** The copy elsewhere takes nothing more, or has not been reached for a while. */
function Sent({ told, now }: { told: Told; now: () => number }): JSX.Element | null {
  const state = told.sent?.state;
  if (state?.kind === 'refused') {
    return (
      <div class="banner" role="status" data-mirror="refused">
        <Mark name="advice" />
        <span class="banner-words">
          <strong>The copy for the producer has stopped.</strong> {state.words}
        </span>
      </div>
    );
  }
  const since = state?.kind === 'cut' ? (state.since ?? now()) : null;
  if (since === null || now() - since < CUT_MS) return null;
  return (
    <div class="banner" data-mirror="cut">
      <Mark name="advice" />
      <span class="banner-words">
        The copy for the producer stands at <span class="number">{timeOfDay(since)}</span>. {state?.words} It
        catches up by itself.
      </span>
    </div>
  );
}

async function askStanding(board: string): Promise<Told | null> {
  try {
    const response = await fetch(`/api/boards/${board}/mirror`);
    const answer = response.ok ? z.safeParse(standingSchema, await response.json()) : null;
    return answer?.success ? { ...answer.data, at: performance.now() } : null;
  } catch {
    return null;
  }
}
