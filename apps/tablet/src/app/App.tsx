import { useSignalEffect } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { appearance, showAppearance } from './appearance.ts';
import { lazily } from './lazily.tsx';
import { followHistory, go, place } from './navigation.ts';
import { addressOf, homeOf, readPlace } from './places.ts';
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

/** Fetches what this address needs while the frame is still being drawn. */
export function prepareHere(): void {
  if (place.peek().kind === 'board') BoardPage.prepare().catch(() => {});
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
      return <Join invite={here.invite} onJoined={() => void BoardPage.prepare()} />;
    case 'start':
      return <Start />;
    case 'guide':
      return <GuideAtDoor role={here.role} />;
    case 'board':
      return <Member key={here.board} board={here.board} />;
  }
}

/** Whether a path is that of a board and of nothing on it. */
function isBoardAlone(path: string): boolean {
  return path.split('/').filter((part) => part !== '').length === 2 && path.startsWith('/board/');
}

/** Goes on where the person was; without anything remembered, asks the base who this is. */
function Start(): JSX.Element {
  const [nobody, setNobody] = useState(false);
  useEffect(() => {
    const address = new URL(lastAddress() ?? '/', location.origin);
    const last = readPlace(address.pathname, address.hash);
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
    if (!member || !isBoardAlone(location.pathname)) return;
    // a link to the board alone leads back to where this device was on it
    const address = new URL(lastAddress(board) ?? '/', location.origin);
    const last = readPlace(address.pathname, address.hash);
    if (last.kind === 'board' && last.board === board) go(last, true);
    else go({ kind: 'board', board, screen: homeOf(member.role), record: null }, true);
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
