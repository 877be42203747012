import type { FoundFile, Progress, RecordedFile, SumKind } from '@plumbline/shared/reconcile';

/** A file that was chosen on this device. It is a handle: nothing of it is copied with the message. */
export interface ChosenFile extends FoundFile {
  readonly file: File;
}

/** What the page tells the worker. */
export type ToWorker =
  | { readonly kind: 'read'; readonly files: readonly ChosenFile[]; readonly sum: SumKind | null }
  | { readonly kind: 'stop' };

/** What the worker tells the page. */
export type FromWorker =
  | { readonly kind: 'file'; readonly file: RecordedFile }
  | { readonly kind: 'went'; readonly progress: Progress }
  | { readonly kind: 'done' }
  | { readonly kind: 'stopped' }
  /** Nothing could be read at all: the media library was not to be had. */
  | { readonly kind: 'failed' };
