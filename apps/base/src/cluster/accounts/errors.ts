/** For whoever asked for something while the engine does not answer. */
export const AWAY = 'The servers of the fleet do not answer. Nothing was changed; try again in a moment.';

/** The engine did not answer in time, so nobody can say now who may come in, or keep it. The message is for people. */
export class FleetAway extends Error {
  override readonly name = 'FleetAway';
}

/** What stands in the stream was written by a newer version, which this one would misread. */
export class AccountsFromNewer extends Error {
  override readonly name = 'AccountsFromNewer';
  constructor(what: string) {
    super(`The fleet's accounts hold ${what}, which this version does not know. Update this node.`);
  }
}
