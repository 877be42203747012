/** What one thing costs, as it was measured or taken; where from stands in `plan.md`. */
export interface Costs {
  /** CPU of the node that decides, for one edit, ms. */
  readonly decideMs: number;
  /** CPU of each further node that has tablets of the board, for one edit, ms. */
  readonly followMs: number;
  /** What an entry waits for a stream's disks, where nobody stands before it, ms. */
  readonly storeMs: number;
  /** What the way to the engine and back, to a majority, takes beside that, ms. */
  readonly wayMs: number;
  /** An edit in the line, bytes, on each server. */
  readonly lineBytes: number;
  /** … once it is archived. */
  readonly archivedBytes: number;
  /** A value of a board in memory, bytes. */
  readonly valueBytes: number;
  /** An open socket, bytes. */
  readonly socketBytes: number;
  /** CPU of every node for one change of the accounts, ms. */
  readonly accountMs: number;
}

/** How much a cell has to bear: a fleet by itself, or one of several. */
export interface Demand {
  readonly boards: number;
  readonly tabletsPerBoard: number;
  /** Values of a board by the end of its day. */
  readonly values: number;
  readonly editsPerBoardDay: number;
  readonly hoursPerDay: number;
  /** How many times the mean the busiest minutes have. */
  readonly peak: number;
  /** In how many minutes everybody joins in the morning. */
  readonly joinMinutes: number;
}

/** What it is borne by. */
export interface Supply {
  readonly nodes: number;
  /** Nodes over which the tablets of one board are spread. */
  readonly nodesPerBoard: number;
  readonly streams: number;
  /** Memory of a node for boards, bytes. */
  readonly nodeBytes: number;
}

/** What comes of it. Shares are of 1; over 0.7 is too much for a queue. */
export interface Plan {
  readonly editsPerSecond: number;
  readonly nodeShare: number;
  readonly streamShare: number;
  readonly memoryShare: number;
  readonly accountShare: number;
  readonly socketsPerNode: number;
  /** From an edit to *stored*, mean at the peak, ms; infinite where a queue grows without end. */
  readonly storedMs: number;
  readonly lineGigabytesPerDay: number;
  readonly archivedGigabytesPerDay: number;
}

/**
 * The mean wait before a single server whose work comes at random, ms: Pollaczek and Khinchine's formula for M/G/1, as in
 * any textbook of queueing (Kleinrock, Queueing Systems, volume 1, 1975, section 5.6).
 *
 * @param share of the time in which it works
 * @param squaredVariation variance of the time for one, by its mean squared
 */
export function meanWait(share: number, serviceMs: number, squaredVariation: number): number {
  if (share >= 1) return Number.POSITIVE_INFINITY;
  return ((1 + squaredVariation) / 2) * (share / (1 - share)) * serviceMs;
}

/** How uneven the times for one edit are: measured ones had a mean of 1 and a few of 5 and more. */
export const SQUARED_VARIATION = 2;

/** Works out how a cell does at its busiest. */
export function planOf(costs: Costs, demand: Demand, supply: Supply): Plan {
  const { boards, tabletsPerBoard, values, editsPerBoardDay, hoursPerDay, peak, joinMinutes } = demand;
  const { nodes, nodesPerBoard, streams, nodeBytes } = supply;
  const editsPerSecond = (boards * editsPerBoardDay * peak) / (hoursPerDay * 3600);
  const workMs = costs.decideMs + (nodesPerBoard - 1) * costs.followMs;
  const nodeShare = (editsPerSecond * workMs) / 1000 / nodes;
  const streamShare = (editsPerSecond * costs.storeMs) / 1000 / streams;
  // somebody joins and a tab shows itself: two entries, which every node takes in
  const accountShare = ((boards * tabletsPerBoard * 2) / (joinMinutes * 60)) * (costs.accountMs / 1000);
  const sockets = (boards * tabletsPerBoard) / nodes;
  const memory = ((boards * nodesPerBoard) / nodes) * values * costs.valueBytes + sockets * costs.socketBytes;
  // the mean piece of work that an edit may have to wait for
  const pieceMs = workMs / nodesPerBoard;
  const storedMs =
    meanWait(nodeShare, pieceMs, SQUARED_VARIATION) +
    costs.decideMs +
    meanWait(streamShare, costs.storeMs, SQUARED_VARIATION) +
    costs.storeMs +
    costs.wayMs;
  return {
    editsPerSecond,
    nodeShare,
    streamShare,
    memoryShare: memory / nodeBytes,
    accountShare,
    socketsPerNode: sockets,
    storedMs,
    lineGigabytesPerDay: (boards * editsPerBoardDay * costs.lineBytes) / 1e9,
    archivedGigabytesPerDay: (boards * editsPerBoardDay * costs.archivedBytes) / 1e9,
  };
}
