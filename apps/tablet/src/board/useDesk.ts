import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import type { Desk } from './desk.ts';

const DeskContext = createContext<Desk | null>(null);

export const DeskProvider = DeskContext.Provider;

/** The desk of the board that is open. */
export function useDesk(): Desk {
  const desk = useContext(DeskContext);
  if (!desk) throw new Error('useDesk outside of a board');
  return desk;
}
