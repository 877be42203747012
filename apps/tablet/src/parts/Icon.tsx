import type { JSX } from 'preact';

/** Line drawings of our own, on a 24 by 24 field. */
const PATHS = {
  day: 'M4 6h10M4 12h16M4 18h7',
  setup: 'M4 8V4h4M16 4h4v4M20 16v4h-4M8 20H4v-4M12 9v6M9 12h6',
  sound: 'M5 10v4M9 7v10M13 4v16M17 8v8M21 11v2',
  match: 'M3 8h6v8h6V8h6',
  progress: 'M4 20V4M4 20h16M8 16l4-5 3 2 5-7',
  kit: 'M4 9h16v11H4zM9 9V5h6v4M4 14h16M12 13v3',
  places: 'M12 21c4-5 6-8 6-11a6 6 0 1 0-12 0c0 3 2 6 6 11zM12 12a2 2 0 1 0 0-4 2 2 0 0 0 0 4z',
  papers: 'M6 3h9l4 4v14H6zM15 3v4h4M9 12h7M9 16h7',
  more: 'M4 5h6v6H4zM14 5h6v6h-6zM4 15h6v6H4zM14 15h6v6h-6z',
  notices: 'M4 13l3-8h10l3 8v6H4zM4 13h5l1 2h4l1-2h5',
  unit: 'M8 11a3 3 0 1 0 0-6 3 3 0 0 0 0 6zM3 19c0-3 2-5 5-5s5 2 5 5M16 11a2.5 2.5 0 1 0 0-5M15.5 14c3 0 5 2 5 5',
  find: 'M10.5 4.5a6 6 0 1 0 0 12 6 6 0 0 0 0-12M15 15l5.5 5.5',
  plus: 'M12 5v14M5 12h14',
  minus: 'M5 12h14',
  close: 'M6 6l12 12M18 6L6 18',
  undo: 'M9 6L4 11l5 5M4 11h10c4 0 6 2 6 6',
  redo: 'M15 6l5 5-5 5M20 11H10c-4 0-6 2-6 6',
  up: 'M6 14l6-6 6 6',
  down: 'M6 10l6 6 6-6',
  back: 'M14 6l-6 6 6 6',
  forward: 'M10 6l6 6-6 6',
  erase: 'M9 6h11v12H9l-6-6zM12 10l4 4M16 10l-4 4',
  /* a hand held up */
  ask: 'M7 13V7.5a1.5 1.5 0 0 1 3 0V12M10 11V5a1.5 1.5 0 0 1 3 0v6M13 11V6.5a1.5 1.5 0 0 1 3 0V13M16 10.5a1.5 1.5 0 0 1 3 0V15c0 4-2.5 6-6 6-3 0-4.5-1.5-6-4l-2.6-4a1.5 1.5 0 0 1 2.6-1.5L7 13',
  flag: 'M6 21V4M6 5h11l-3 4 3 4H6',
  note: 'M5 5h14v10l-5 5H5zM14 20v-5h5',
  copy: 'M8 8h11v11H8zM5 16V5h11',
  light:
    'M12 8a4 4 0 1 0 0 8 4 4 0 0 0 0-8zM12 2v2M12 20v2M2 12h2M20 12h2M5 5l1.5 1.5M17.5 17.5L19 19M19 5l-1.5 1.5M6.5 17.5L5 19',
} as const;

export type IconName = keyof typeof PATHS;

/** A drawing beside a word; it says nothing to a screen reader. */
export function Icon({ name, class: className }: { name: IconName; class?: string }): JSX.Element {
  return (
    <svg
      viewBox="0 0 24 24"
      class={className}
      fill="none"
      stroke="currentColor"
      stroke-width="1.8"
      stroke-linecap="round"
      stroke-linejoin="round"
      aria-hidden="true"
      focusable="false"
    >
      <path d={PATHS[name]} class={name === 'back' || name === 'forward' ? 'turns' : undefined} />
    </svg>
  );
}
