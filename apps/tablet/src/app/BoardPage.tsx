import { SHOOT } from '@plumbline/shared';
import { computed, useComputed, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { Desk } from '../board/desk.ts';
import { type OpenBoard, openBoard } from '../board/open.ts';
import { DeskProvider } from '../board/useDesk.ts';
import { Guarded } from '../parts/Guarded.tsx';
import { AllFindings } from '../parts/lazyAllFindings.ts';
import { FindingCard } from '../parts/lazyFindings.ts';
import { EntrySheet } from '../parts/lazySheets.ts';
import { prepareForecast } from '../parts/useForecast.ts';
import { DaySheet } from '../screens/day/later.ts';
import { sendWhileOpen } from '../screens/places/photos/whileOpen.ts';
import { ReadyBody } from '../screens/setup/later.ts';
import { SetupSide } from '../screens/setup/laterSide.ts';
import { alwaysAwake, browserAwake, keepAwake } from './awake.ts';
import { fetchFace } from './face.ts';
import { noteDrawn } from './firstPaint.ts';
import { place } from './navigation.ts';
import type { Screen } from './places.ts';
import { askToKeep, room } from './room.ts';
import { Shell } from './Shell.tsx';
import { savesData } from './savesData.ts';
import { SCREENS } from './screens.ts';
import type { Membership } from './sessions.ts';
import { warmScreens } from './warming.ts';

/** The first screen has the line to itself for so long, ms. */
const PREPARE_AFTER_MS = 1500;
const DRAWN_BY_MS = 1500;

/**
 * Fetches the other screens while nothing else goes on, so that they open with the network gone. On a device that was
 * asked to save data each comes when it is wanted; what is touched on the screen at hand is fetched there too.
 */
async function prepareScreens(): Promise<void> {
  await fetchFace().catch(() => {});
  await prepareForecast().catch(() => {});
  const sheets = [SetupSide, EntrySheet, FindingCard, AllFindings, ReadyBody, DaySheet];
  const screens = savesData() ? [] : Object.values(SCREENS);
  for (const part of [...sheets, ...screens]) await part.prepare().catch(() => {});
}

/** A board: opened once, kept in step, and shown screen by screen. */
export function BoardPage({ membership }: { membership: Membership }): JSX.Element {
  const board = useSignal<OpenBoard | null>(null);
  useEffect(() => {
    let closed = false;
    void openBoard(membership).then((opened) => {
      if (closed) opened.close();
      else board.value = opened;
    });
    return () => {
      closed = true;
      board.peek()?.close();
    };
  }, [membership.boardId]);
  const desk = useComputed(() => board.value && new Desk(board.value, board.value.connection.live.value));
  return desk.value ? <AtDesk key={desk.value.live} desk={desk.value} /> : <p class="empty">Opening…</p>;
}

/** Keeps the screen on while a camera rolls, or always by choice; asks the browser to keep what is stored here. */
function useDevice(desk: Desk): void {
  useEffect(() => {
    const wanted = computed(() => alwaysAwake.value || desk.rolling.value.length > 0);
    return keepAwake(wanted, browserAwake()).stop;
  }, [desk]);
  useEffect(() => {
    // with the first edit of this person there is something worth a promise
    if (desk.lastDone.value !== undefined && room.peek().promised === 'unknown') void askToKeep();
  }, [desk.lastDone.value]);
}

/** Before the first copy of the board is here: no screen says of it that it is empty. */
function OpeningBoard({ desk }: { desk: Desk }): JSX.Element {
  const title = desk.board.value('shoot', SHOOT, 'title');
  const isAway = desk.live.link.status.value.kind === 'waiting';
  return (
    <div class="empty" role="status" data-opening={isAway ? 'waits' : 'comes'}>
      <h1>Opening the board…</h1>
      <p>{title}</p>
      {isAway && <p>The base is out of reach. The board opens by itself when it is back.</p>}
    </div>
  );
}

function AtDesk({ desk }: { desk: Desk }): JSX.Element {
  const here = place.value;
  const screen: Screen = here.kind === 'board' ? here.screen : 'day';
  const record = here.kind === 'board' ? here.record : null;
  useEffect(() => () => desk.close(), [desk]);
  useEffect(() => {
    // a board that does not come, and a page that nobody sees, paint no screen: what waits for it waits no longer
    const timer = setTimeout(noteDrawn, DRAWN_BY_MS);
    return () => clearTimeout(timer);
  }, []);
  useEffect(() => (savesData() ? undefined : warmScreens(desk)), [desk]);
  useEffect(() => sendWhileOpen(desk), [desk]);
  const isHere = desk.here.value;
  useEffect(() => {
    if (!isHere) return;
    const timer = setTimeout(() => void prepareScreens(), PREPARE_AFTER_MS);
    return () => clearTimeout(timer);
  }, [isHere]);
  useDevice(desk);
  useEffect(() => {
    desk.connection.setPresence(record === null ? { screen } : { screen, record });
  }, [desk, screen, record]);
  const Current = SCREENS[screen];
  return (
    <DeskProvider value={desk}>
      <Shell screen={screen}>
        <Guarded key={screen}>{isHere ? <Current record={record} /> : <OpeningBoard desk={desk} />}</Guarded>
      </Shell>
    </DeskProvider>
  );
}
