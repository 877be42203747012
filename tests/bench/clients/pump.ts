import type { Author, Contestant } from './contestants.ts';

/** Opens so many authors on a contestant's first board. */
export async function openAuthors(contestant: Contestant, count: number): Promise<Author[]> {
  const authors: Author[] = [];
  for (let number = 0; number < count; number++) authors.push(await contestant.openAuthor(number));
  return authors;
}

/**
 * Every author writes for as long as `goesOn` says, so many edits on the way at once; resolves to how many they wrote
 * together when all have been answered and observed.
 */
export async function pump(
  authors: readonly Author[],
  goesOn: () => boolean,
  window: number,
  write: (author: Author) => void = (author) => author.write(),
): Promise<number> {
  const counts = await Promise.all(authors.map((author) => writeWhile(author, goesOn, window, write)));
  await quiet(authors);
  return counts.reduce((sum, count) => sum + count, 0);
}

/** Says yes for so long. */
export function forMilliseconds(milliseconds: number): () => boolean {
  const end = performance.now() + milliseconds;
  return () => performance.now() < end;
}

function writeWhile(
  author: Author,
  goesOn: () => boolean,
  window: number,
  write: (author: Author) => void,
): Promise<number> {
  const { socket } = author;
  return new Promise<number>((resolve, reject) => {
    let written = 0;
    let answered = 0;
    socket.onClosed = () => reject(new Error(`closed with ${socket.closeCode}`));
    author.onAnswer = () => {
      answered++;
      if (goesOn()) {
        written++;
        write(author);
      } else if (answered === written) resolve(written);
    };
    while (written < window) {
      written++;
      write(author);
    }
  }).finally(() => {
    author.onAnswer = () => {};
    socket.onClosed = () => {};
  });
}

/** Resolves when every socket has had all that was on its way: they have heard the same, and nothing more comes. */
async function quiet(authors: readonly Author[]): Promise<void> {
  const heard = (): number => authors.reduce((sum, { socket }) => sum + socket.updateBytes, 0);
  for (let before = -1; before !== heard(); ) {
    before = heard();
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
