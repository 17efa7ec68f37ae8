export { type AskedCheck, askedChecks } from './asked.ts';
export { type AssessedCheck, assess } from './assess.ts';
export {
  type CheckDefinition,
  type Concern,
  type Context,
  concerns,
  type Finding,
  type LimitDefinition,
  type Limits,
  type Urgency,
  urgencies,
} from './check.ts';
export { type CheckName, checkList } from './checks/index.ts';
export { contextOf, type Stated } from './context.ts';
export { episodeIdOf } from './episode-id.ts';
export { type PolicyProblem, type PolicyResult, parsePolicy, problemSentence } from './parse-policy.ts';
export {
  builtInPolicy,
  type CheckSetting,
  type Policy,
  type PolicyOverride,
  policyFile,
  policySchema,
} from './policy.ts';
export { blindness, type CheckReach, checkReaches, type Reach, reaches, type TruckReports } from './reach.ts';
export * from './site.ts';
export { type Quantity, render, type Statement, type UnitSystem } from './statement.ts';
export { type Ask, type Measured, type Outcome, outcomeOf, outcomes } from './verdict.ts';
export { judge, sentence, type WireBounds, type WireCheck, type WireEpisode, wireEpisode } from './wire.ts';
