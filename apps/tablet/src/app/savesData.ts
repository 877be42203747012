/** Whether the person asked their device to save data. A browser that does not say so is taken as one that was not asked. */
export function savesData(): boolean {
  const connection: unknown = 'connection' in navigator ? navigator.connection : null;
  return (
    typeof connection === 'object' &&
    connection !== null &&
    'saveData' in connection &&
    connection.saveData === true
  );
}
