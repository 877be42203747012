/** The screens of a board. Each has its own address, so that a link leads to it and the way back works. */
export const SCREENS = [
  'day',
  'setup',
  'sound',
  'match',
  'kit',
  'places',
  'progress',
  'papers',
  'reconcile',
  'plan',
  'notices',
  'unit',
  'guide',
] as const;

export type Screen = (typeof SCREENS)[number];

/** Where somebody is in the app. */
export type Place =
  | { readonly kind: 'start' }
  /** `invite` is the token after the `#`, which browsers never send to a server. */
  | { readonly kind: 'join'; readonly invite: string }
  /** What each role does, to be read by anybody; `role` is whose page it is. */
  | { readonly kind: 'guide'; readonly role: string | null }
  | {
      readonly kind: 'board';
      readonly board: string;
      readonly screen: Screen;
      /** The record the screen is about: a setup, a match group, an item, a place. */
      readonly record: string | null;
      /** What of the page is meant: `take.4a.3`, `flag.f1`. Left out: all of it. */
      readonly part?: string;
    };

export type BoardPlace = Extract<Place, { kind: 'board' }>;

function isScreen(text: string | null | undefined): text is Screen {
  return SCREENS.some((screen) => screen === text);
}

/** A part of a path as text; a broken escape is no name of anything. */
function decodePart(part: string): string | null {
  try {
    return decodeURIComponent(part);
  } catch {
    return null;
  }
}

/** Reads an address; what leads nowhere is the start. */
export function readPlace(path: string, hash = ''): Place {
  const [first, board, screen, record] = path
    .split('/')
    .filter((part) => part !== '')
    .map(decodePart);
  if (first === 'join') return { kind: 'join', invite: hash.replace(/^#/, '').trim() };
  if (first === 'guide') return { kind: 'guide', role: board ?? null };
  if (first !== 'board' || !board || !/^[A-Za-z0-9_-]{1,64}$/.test(board)) return { kind: 'start' };
  const part = decodePart(hash.replace(/^#/, ''));
  return {
    kind: 'board',
    board,
    screen: isScreen(screen) ? screen : 'day',
    record: record ?? null,
    ...(part !== null && /^[a-z]+\../.test(part) && { part }),
  };
}

/** The address of a place. */
export function addressOf(place: Place): string {
  switch (place.kind) {
    case 'start':
      return '/';
    case 'join':
      return place.invite === '' ? '/join' : `/join#${place.invite}`;
    case 'guide':
      return place.role === null ? '/guide' : `/guide/${encodeURIComponent(place.role)}`;
    case 'board': {
      const part = place.part === undefined ? '' : `#${encodeURIComponent(place.part)}`;
      const record = place.record === null ? '' : `/${encodeURIComponent(place.record)}`;
      return `/board/${place.board}/${place.screen}${record}${part}`;
    }
  }
}

/** The screen that a role lives on. */
export function homeOf(role: string): Screen {
  if (role === 'camera') return 'setup';
  if (role === 'sound') return 'sound';
  return role === 'producer' ? 'progress' : 'day';
}
