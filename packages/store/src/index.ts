export { type Actor, type AuditEntry, type AuditFilter, auditEntries, noteAudit } from './access/audit.ts';
export {
  admitPerson,
  changePerson,
  countAdministrators,
  countPeople,
  type Grants,
  type NewPerson,
  noteFailedSignIn,
  noteSignIn,
  type Person,
  type PersonChange,
  people,
  personById,
  personByLogin,
  setPassword,
} from './access/person.ts';
export {
  beginSession,
  endSession,
  endSessionsOf,
  type LiveSession,
  liveSession,
  type NewSession,
} from './access/session.ts';
export { issueToken, liveToken, type NewToken, revokeToken, type Token, tokens } from './access/token.ts';
export type { AnomalyChange } from './analysis/anomalies.ts';
export {
  type EpisodeHistoryEntry,
  type EpisodeStanding,
  episodeHistory,
  episodesBetween,
  episodesOfVehicle,
  readEpisode,
  type StoredEpisode,
} from './analysis/episodes.ts';
export {
  decodeEvidence,
  type EvidenceColumn,
  type EvidenceRows,
  encodeEvidence,
  readEvidence,
} from './analysis/evidence.ts';
export {
  dirtyVehicles,
  lockVehicle,
  markDirty,
  noteAnalysed,
  type VehicleProgress,
  vehicleProgress,
  vehiclesPage,
  vehiclesSeen,
} from './analysis/progress.ts';
export { replaceStretches, type StoredStretch, stretchAfter, stretchAt, stretchesFrom } from './analysis/stretches.ts';
export { type FoundEpisode, type WrittenEpisodes, writeEpisodes } from './analysis/write-episodes.ts';
export {
  addReview,
  type CaseStanding,
  lockAnomalies,
  putCase,
  reviewsById,
  reviewsOf,
  type StoredReview,
} from './cases/reviews.ts';
export { type Change, changesAfter, changesVisible, lastChange, noteChanges } from './changes.ts';
export { type DriverEntry, readDrivers, storeDriver, storeDrivers } from './companions/drivers.ts';
export {
  keepPolicy,
  type PolicyValidity,
  policyDocument,
  policyIdOf,
  policyValidities,
  statePolicy,
} from './companions/policies.ts';
export {
  dropDraft,
  keepDraft,
  namePolicy,
  type PolicyDraft,
  type PolicyInForce,
  policiesInForce,
  policyDraft,
  policyDrafts,
} from './companions/policy-drafts.ts';
export { readSites, storeSites } from './companions/sites.ts';
export {
  dropSourceProfile,
  keepSourceProfile,
  type StoredProfile,
  sourceProfile,
  sourceProfiles,
} from './companions/source-profiles.ts';
export { readVehicles, storeVehicles } from './companions/vehicles.ts';
export {
  type DigestAttempt,
  type DigestRecord,
  type DigestState,
  digestBefore,
  digestsNotSent,
  digestsOf,
  digestsPage,
  handOverDigest,
  intendDigest,
  settleDigest,
} from './digests/digests.ts';
export {
  type DutyAttempt,
  type DutyMailRecord,
  dutyMailsDue,
  dutyMailsOf,
  handOverDutyMail,
  intendDutyMail,
  settleDutyMail,
} from './duty/duty-mails.ts';
export type {
  Engine,
  EngineDescription,
  HeldLock,
  Parameter,
  Statements,
  Transaction,
  TransactionOptions,
} from './engine/engine.ts';
export { embeddedEngine, openFolder, openMemory } from './engine/pglite.ts';
export { openServer, type ServerOptions } from './engine/postgres.ts';
export { instant, parsers } from './engine/values.ts';
export { StoreError, type StoreErrorCode } from './errors.ts';
export {
  beginInputFile,
  type FileProgress,
  failInputFile,
  finishInputFile,
  type InputFile,
  type InputFileState,
  inputFile,
  inputFilesIn,
  inputFilesPage,
  noteFileProgress,
  registerInputFile,
} from './files/input-files.ts';
export { claimIntakeKey, type IntakeKey, keepIntakeAnswer, releaseIntakeKey } from './files/intake-keys.ts';
export { readRejects, rejectCounts, rejectsPage, type StoredReject, storeRejects } from './files/rejects.ts';
export { type Migration, migrate, readMigrations } from './migrations/migrate.ts';
export { schemaText } from './migrations/schema-text.ts';
export {
  type Attempt,
  countWaiting,
  type Delivery,
  type DeliveryState,
  deliveriesOf,
  dueDeliveries,
  type NewDelivery,
  noteAttempt,
  queueDelivery,
  resendDelivery,
} from './notify/deliveries.ts';
export {
  addSecret,
  addWebhook,
  changeWebhook,
  removeSecret,
  removeWebhook,
  type Webhook,
  type WebhookChange,
  type WebhookSecret,
  webhookById,
  webhooks,
} from './notify/webhooks.ts';
export { openStore, type StoreOptions } from './open.ts';
export { anomaliesTurned, type TurnedAnomaly } from './queries/anomalies-turned.ts';
export { countByWeek, countByWeekStatement, type WeekCount, type WeekSpan } from './queries/count-checks.ts';
export {
  type AnomalyFilter,
  type AnomalyKey,
  type AnomalyOrder,
  anomalyKey,
  type FoundAnomaly,
  findAnomalies,
  findAnomaliesStatement,
} from './queries/find-anomalies.ts';
export {
  allChecks,
  type CheckFilter,
  type CheckKey,
  type CheckPage,
  type FoundCheck,
  findChecks,
  findChecksStatement,
} from './queries/find-checks.ts';
export { type EpisodeFilter, type EpisodeKey, findEpisodes, findEpisodesStatement } from './queries/find-episodes.ts';
export { type VehicleHeard, vehiclesHeard } from './queries/vehicles-heard.ts';
export { type ReadingPage, type ReadingSpan, readReadings } from './readings/stream.ts';
export { storeReadings, type UpsertCounts, upsertReadings, type VehicleChange } from './readings/upsert.ts';
export { type CompressedReadings, compressReadings } from './retention/compress-readings.ts';
export { activeHolds, allHolds, type Hold, type HoldScope, placeHold, releaseHold } from './retention/holds.ts';
export { pruneEvidence, pruneRejects } from './retention/prune-evidence.ts';
export { type Pruned, pruneReadings } from './retention/prune-readings.ts';
export { readSetting, settingOr, writeSetting } from './settings.ts';
