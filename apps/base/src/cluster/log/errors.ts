/** The engine refused an entry, since another stands where it was to stand. Nothing of it is stored. */
export class LineMoved extends Error {
  override readonly name = 'LineMoved';
  constructor(board: string) {
    super(`board ${board}: another entry was written first`);
  }
}

/** An entry was sent and nobody knows whether it is stored. */
export class FateUnknown extends Error {
  override readonly name = 'FateUnknown';
  constructor(board: string, cause: unknown) {
    super(`board ${board}: the engine did not say whether it is stored`, { cause });
  }
}

/** The engine cannot be reached, or said nothing in time. Nothing was stored. */
export class EngineAway extends Error {
  override readonly name = 'EngineAway';
  constructor(what: string, cause?: unknown) {
    super(`${what}: the engine does not answer`, { cause });
  }
}

/** Another node decides this board. */
export class DecidedElsewhere extends Error {
  override readonly name = 'DecidedElsewhere';
  readonly owner: string;
  constructor(board: string, owner: string) {
    super(`board ${board}: node ${owner} decides`);
    this.owner = owner;
  }
}

/** What stands in a board's line is not what was written. */
export class LineDamaged extends Error {
  override readonly name = 'LineDamaged';
  readonly board: string;
  constructor(board: string, at: number, what: string) {
    super(`board ${board}, entry ${at}: ${what}`);
    this.board = board;
  }
}

/** An entry was written by a newer version of this program, which this one would misread. */
export class LineFromNewer extends Error {
  override readonly name = 'LineFromNewer';
  constructor(v: number) {
    super(`The fleet's log holds entries of version ${v}; this program knows up to 1. Update this node.`);
  }
}

/** The streams of the fleet, or this node's copy, are not fit to be used. The message says why, and what to do. */
export class FleetUnfit extends Error {
  override readonly name = 'FleetUnfit';
}
