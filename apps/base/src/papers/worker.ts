import { parentPort } from 'node:worker_threads';
import { makeFile } from './make.ts';
import { type MadeFile, NoSuchPaper, type PaperAsk, type StandingBoard } from './request.ts';

/** What the base asks of this thread. */
export interface WorkerTask {
  readonly id: number;
  readonly ask: PaperAsk;
  readonly board: StandingBoard;
}

/** What it answers. */
export type WorkerAnswer =
  | { readonly id: number; readonly kind: 'made'; readonly file: MadeFile }
  | { readonly id: number; readonly kind: 'none'; readonly sentence: string }
  | { readonly id: number; readonly kind: 'failed'; readonly reason: string };

async function answerTo({ id, ask, board }: WorkerTask): Promise<WorkerAnswer> {
  try {
    return { id, kind: 'made', file: await makeFile(ask, board) };
  } catch (error) {
    if (error instanceof NoSuchPaper) return { id, kind: 'none', sentence: error.message };
    return {
      id,
      kind: 'failed',
      reason: error instanceof Error ? (error.stack ?? error.message) : String(error),
    };
  }
}

parentPort?.on('message', (task: WorkerTask) => {
  void answerTo(task).then((answer) => {
    const bytes = answer.kind === 'made' ? [answer.file.bytes.buffer] : [];
    parentPort?.postMessage(
      answer,
      bytes.filter((buffer) => buffer instanceof ArrayBuffer),
    );
  });
});
