/** Under which names this device keeps notes that are looked for before the code that reads notes is here. */
export const memberKey = (board: string): string => `plumbline.member.${board}`;
export const keptKey = (board: string): string => `plumbline.kept.${board}`;

/** Whether there is a note of this name. Where storage is off there is none. */
export function isNoted(key: string): boolean {
  try {
    return localStorage.getItem(key) !== null;
  } catch {
    return false;
  }
}
