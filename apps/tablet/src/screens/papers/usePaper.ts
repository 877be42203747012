import { makePaper, PAPERS_OF_A_DAY, type PaperDocument, type PaperKind } from '@plumbline/shared/papers';
import { effect } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';

/** A paper follows the board, and lets whoever reads it finish a line, ms. */
const FOLLOW_MS = 1500;

/** The paper as the board stands here, made again a while after something on it changed. */
export function usePaper(kind: PaperKind, day: string | undefined): PaperDocument | null {
  const desk = useDesk();
  const [paper, setPaper] = useState<PaperDocument | null>(null);
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    let stop = (): void => {};
    const make = (): void => {
      stop();
      let isMade = false;
      stop = effect(() => {
        // Called again: something that was read has changed. It is read anew, and followed, after a while.
        if (isMade) {
          timer = setTimeout(make, FOLLOW_MS);
          return;
        }
        // a paper says what stands open: it is not made before anybody has looked
        if (!desk.judging.judged.value) return;
        isMade = true;
        const options = { day: PAPERS_OF_A_DAY.has(kind) ? day : undefined, at: desk.now(), seq: null };
        setPaper(makePaper(desk.board, kind, options, () => desk.judging.findings.value));
      });
    };
    setPaper(null);
    // After the screen stands: a long day takes a moment.
    timer = setTimeout(make, 0);
    return () => {
      clearTimeout(timer);
      stop();
    };
  }, [desk, kind, day]);
  return paper;
}
