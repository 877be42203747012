/** What the accounts of a fleet tell of themselves to whoever runs the node. */
export interface AccountsReports {
  /** So many entries had not been delivered and were fetched. */
  healed(entries: number): void;
  /** An entry is none of ours, whoever wrote it, and was passed over. */
  foreign(at: number): void;
  /** Something failed that will be tried again. */
  trouble(error: unknown): void;
}

/** Reports that nobody hears. */
export const SILENT_ACCOUNTS: AccountsReports = { healed() {}, foreign() {}, trouble() {} };
