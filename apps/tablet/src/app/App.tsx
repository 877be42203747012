import { useSignalEffect } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { askAhead } from '../board/ahead.ts';
import { appearance, showAppearance } from './appearance.ts';
import { lazily } from './lazily.tsx';
import { followHistory, go, place } from './navigation.ts';
import { addressOf, type BoardPlace, homeOf, type Place, readPlace } from './places.ts';
import { SCREENS } from './screens.ts';
import {
  askMembership,
  lastAddress,
  type Membership,
  membershipOf,
  rememberAddress,
  wantAddress,
} from './sessions.ts';

/** Who has joined never comes by the door again: the board need not wait for it. */
const Join = lazily(() => import('../screens/join/Join.tsx').then((module) => module.Join));
const NoInvite = lazily(() => import('../screens/join/Join.tsx').then((module) => module.NoInvite));
const GuideAtDoor = lazily(() => import('../screens/guide/Guide.tsx').then((module) => module.GuideAtDoor));
const BoardPage = lazily(() => import('./BoardPage.tsx').then((module) => module.BoardPage));

/** Fetches all at once what this address needs: code, screen and board. */
export function prepareHere(): void {
  const here = place.peek();
  const address = here.kind === 'start' ? lastAddress() : null;
  const wanted = address === null ? here : placeAt(address);
  if (wanted.kind !== 'board') return;
  const { board } = wanted;
  const member = membershipOf(board);
  const isAlone = wanted === here && isBoardAlone(location.pathname);
  const { screen } = isAlone && member ? whereOn(member) : wanted;
  for (const part of [BoardPage, SCREENS[screen]]) part.prepare().catch(() => {});
  if (member) askAhead(board);
}

/** The whole app: the door, or a board. */
export function App(): JSX.Element {
  useEffect(followHistory, []);
  useSignalEffect(() => showAppearance(document.documentElement, appearance.value));
  useSignalEffect(() => {
    const here = place.value;
    // an address that names a board alone says nothing of where on it
    if (here.kind === 'board' && !isBoardAlone(location.pathname))
      rememberAddress(here.board, addressOf(here));
  });
  const here = place.value;
  switch (here.kind) {
    case 'join':
      return <Join invite={here.invite} onJoined={prepareHere} />;
    case 'start':
      return <Start />;
    case 'guide':
      return <GuideAtDoor role={here.role} />;
    case 'board':
      return <Member key={here.board} board={here.board} />;
  }
}

/** The place at an address that was kept on this device. */
function placeAt(address: string): Place {
  const { pathname, hash } = new URL(address, location.origin);
  return readPlace(pathname, hash);
}

/** Where a link to a board alone leads: back to where this device was on it, or to the screen of one's role. */
function whereOn({ boardId, role }: Membership): BoardPlace {
  const address = lastAddress(boardId);
  const last = address === null ? null : placeAt(address);
  if (last?.kind === 'board' && last.board === boardId) return last;
  return { kind: 'board', board: boardId, screen: homeOf(role), record: null };
}

/** Whether a path is that of a board and of nothing on it. */
function isBoardAlone(path: string): boolean {
  return path.split('/').filter((part) => part !== '').length === 2 && path.startsWith('/board/');
}

/** Goes on where the person was; without anything remembered, asks the base who this is. */
function Start(): JSX.Element {
  const [nobody, setNobody] = useState(false);
  useEffect(() => {
    const last = placeAt(lastAddress() ?? '/');
    if (last.kind === 'board') {
      go(last, true);
      return;
    }
    void askMembership().then((member) => {
      if (member)
        go({ kind: 'board', board: member.boardId, screen: homeOf(member.role), record: null }, true);
      else setNobody(true);
    });
  }, []);
  return nobody ? <NoInvite /> : <p class="empty">Opening…</p>;
}

/** A board, once it is known who is here. */
function Member({ board }: { board: string }): JSX.Element {
  const [member, setMember] = useState<Membership | null>(() => membershipOf(board));
  const [nobody, setNobody] = useState(false);
  useEffect(() => {
    if (member && isBoardAlone(location.pathname)) go(whereOn(member), true);
  }, [board, member]);
  useEffect(() => {
    if (nobody) wantAddress(board, location.pathname + location.hash);
  }, [board, nobody]);
  useEffect(() => {
    if (member) return;
    void askMembership().then((asked) => {
      if (asked?.boardId === board) setMember(asked);
      else setNobody(true);
    });
  }, [board, member]);
  if (member) return <BoardPage membership={member} />;
  return nobody ? (
    <NoInvite sentence="This device has no session on this board." />
  ) : (
    <p class="empty">Opening…</p>
  );
}
