/**
 * The base station: keeps the boards, decides their edits, stores them, serves the tablets.
 *
 * @module
 */
export type { Accounts, Lifetimes } from './accounts/accounts.ts';
export { ADDRESS_LIMITS, type AddressLimits } from './addresses.ts';
export { writeBackup } from './backup/dump.ts';
export { BackupDamaged, loadBackup } from './backup/load.ts';
export { RestoreRefused, restoreBackup } from './backup/restore.ts';
export { type Flaw, type Verdict, verifyDatabase } from './backup/verify.ts';
export { KeptBytes } from './board/kept.ts';
export type { MachineClock } from './clock.ts';
export { BaseClock } from './clock.ts';
export { EngineBus } from './cluster/bus.ts';
export { Engine, type EngineOptions } from './cluster/log/engine.ts';
export * from './cluster/log/errors.ts';
export { JetStreamLog, type JetStreamLogOptions } from './cluster/log/jetStreamLog.ts';
export { type ClusterLogReports, type EngineReports, SILENT_LOG } from './cluster/log/reports.ts';
export * from './cluster/port.ts';
export { DataFolder, FolderInUse } from './dataFolder.ts';
export type { Route } from './http/route.ts';
export type { Access } from './http/who.ts';
export type { BoardKind, PlanFile, PlanProblem, PlanReading } from './kind.ts';
export { MemoryLog } from './log/memory.ts';
export * from './log/port.ts';
export { SqliteLog } from './log/sqlite.ts';
export { filesUnder, openOnDisk } from './media/folder.ts';
export { createAnalyzing, createSumming } from './media/library.ts';
export { PaperMakers } from './papers/makers.ts';
export type { MadeFile, PaperAsk, StandingBoard } from './papers/request.ts';
export { shootKind } from './shoot.ts';
export { Database } from './sqlite/database.ts';
export { MIGRATIONS } from './sqlite/migrations.ts';
export { readWalTail, type WalTail } from './sqlite/walTail.ts';
export { type Base, type BaseOptions, LogDamaged, startBase } from './start.ts';
export { Inflow, type InflowPorts, type TurnBudget } from './sync/inflow.ts';
export { SYNC_LIMITS, type SyncLimits } from './sync/limits.ts';
export { Outflow, type OutflowPorts, type SocketPort } from './sync/outflow.ts';
export { PresenceRoom, type PresenceTeller } from './sync/presence.ts';
export { judgeBrought, readQuestion } from './sync/readings.ts';
