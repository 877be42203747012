import { type Edit, newDocument, readFrame, stampAt, type Writer } from '@plumbline/replica';
import * as Y from 'yjs';
import type { Board } from '../../../apps/base/src/board/board.ts';
import type { Answer } from '../../../apps/base/src/board/judge.ts';
import { closeGap } from '../../../packages/replica/src/outbox.ts';
import type { Node } from './node.ts';
import type { World } from './world.ts';

/** So many edits are under way at once. */
const AT_ONCE = 6;

/** A tablet without a screen on one board of a simulated fleet: it sends what is not answered until it is. */
export class Client {
  readonly writer: Writer;
  readonly board: string;
  /** What its edits were answered with, by their stamps: their numbers may change. */
  readonly answers = new Map<number, Answer>();
  doc = newDocument(0);
  isWriting = true;
  pending: Edit[] = [];
  #n = 0;
  readonly #world: World;
  readonly #nodes: () => readonly Node[];
  /** Of the present connection; what belongs to an earlier one is passed over. */
  #connection: object | null = null;
  #on: Board | null = null;
  #node: Node | null = null;
  #sent = 0;
  #stopListening = (): void => {};

  constructor(writer: Writer, board: string, world: World, nodes: () => readonly Node[]) {
    this.writer = writer;
    this.board = board;
    this.#world = world;
    this.#nodes = nodes;
    this.#connect();
    this.#write();
    this.#wander();
  }

  get isSettled(): boolean {
    return this.pending.length === 0;
  }

  get isConnected(): boolean {
    return this.#on !== null && this.#node?.isDead === false && !this.#on.hasFailed;
  }

  /** Answers that say stored. */
  get stored(): number {
    return [...this.answers.values()].filter(({ kind }) => kind === 'stored').length;
  }

  /** Goes to another node. */
  move(): void {
    this.#drop();
  }

  /** Its network changes now and then, and it finds itself at another node. */
  #wander(): void {
    if (!this.isWriting) return;
    this.#world.after(500 + this.#world.some(3000), () => {
      this.#drop();
      this.#wander();
    });
  }

  #write(): void {
    const { random } = this.#world;
    if (this.isWriting && this.pending.length < AT_ONCE) {
      const n = ++this.#n;
      const isShared = random.below(4) === 0;
      const entry = isShared
        ? { table: 'jars', record: 'first.1', field: 'content', value: `${this.writer.id}:${n}`, seen: 0 }
        : { table: 'shelves', record: `${this.writer.id}-${n}`, field: 'width', value: n, seen: 0 };
      this.pending.push({ n, stamp: stampAt(this.#world.start + this.#world.now) + n, entries: [entry] });
      this.#send();
    }
    if (this.isWriting) this.#world.after(this.#world.some(150), () => this.#write());
  }

  #connect(): void {
    const connection = {};
    this.#connection = connection;
    const alive = this.#nodes().filter((node) => !node.isDead);
    if (alive.length === 0) {
      this.#again(connection);
      return;
    }
    const node = this.#world.random.pick(alive);
    this.#node = node;
    // Somebody whose node says nothing tries another in the end.
    this.#world.after(5000, () => {
      if (this.#connection === connection && !this.#on) this.#drop();
    });
    this.#world.after(this.#world.some(10), () =>
      node.way.when(() => {
        if (this.#connection === connection)
          void this.#greet(connection, node).catch(() => this.#drop(connection));
      }),
    );
  }

  async #greet(connection: object, node: Node): Promise<void> {
    const board = await node.boards.get(this.board);
    if (!board || this.#connection !== connection) return this.#drop(connection);
    const doc = newDocument(0);
    let isFlowing = false;
    const take = (frame: Uint8Array): void => {
      const read = readFrame(frame);
      if (read?.type === 'sync' && read.step !== 'stateVector') Y.applyUpdate(doc, read.bytes);
    };
    this.#stopListening = board.listen({
      updated: (frame) => {
        if (isFlowing && this.#connection === connection) take(frame);
      },
      failed: () => this.#drop(connection),
    });
    await board.since(0, (frames) => {
      isFlowing = true;
      for (const frame of frames) take(frame);
    });
    await board.current();
    const last = await board.lastAnswered(this.writer.id);
    if (this.#connection !== connection) return;
    this.doc = doc;
    this.#on = board;
    this.#sent = 0;
    this.#closeGap(last);
    this.#send();
  }

  /** As a tablet does, which takes the base's word for what it has heard: edits past that are numbered anew. */
  #closeGap(last: number): void {
    const outbox = closeGap({ writer: this.writer.id, next: this.#n + 1, pending: this.pending }, last);
    this.pending = [...outbox.pending];
    this.#n = outbox.next - 1;
  }

  #send(): void {
    const [connection, board, node] = [this.#connection, this.#on, this.#node];
    if (!connection || !board || !node) return;
    for (const edit of this.pending.slice(this.#sent)) {
      this.#sent++;
      // In order, as a socket is.
      this.#world.after(5, () =>
        node.way.when(() => {
          if (this.#connection !== connection) return;
          board.submit(this.writer, edit, (answer) =>
            this.#world.after(5, () => this.#answered(connection, edit.n, answer)),
          );
        }),
      );
    }
  }

  #answered(connection: object, n: number, answer: Answer): void {
    if (this.#connection !== connection) return;
    if (answer.kind === 'failed' || answer.kind === 'gap') {
      this.#drop(connection);
      return;
    }
    const index = this.pending.findIndex((edit) => edit.n === n);
    const edit = this.pending[index];
    if (!edit) return;
    this.answers.set(edit.stamp, answer);
    this.pending.splice(index, 1);
    if (index < this.#sent) this.#sent--;
  }

  /** The socket closes: all that is not answered is sent again over the next. */
  #drop(connection: object | null = this.#connection): void {
    if (this.#connection !== connection || connection === null) return;
    this.#stopListening();
    this.#stopListening = () => {};
    this.#connection = null;
    this.#on = null;
    this.#again(null);
  }

  #again(connection: object | null): void {
    this.#world.after(100 + this.#world.some(200), () => {
      if (this.#connection === connection) this.#connect();
    });
  }

  /** Called by whoever has seen its node die. */
  noticed(): void {
    if (this.#node?.isDead) this.#drop();
  }
}
