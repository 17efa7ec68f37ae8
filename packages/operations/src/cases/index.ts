export {
  type Case,
  type CaseState,
  type CaseStep,
  caseOf,
  caseStates,
  changedSince,
  type ReviewAction,
  reviewActions,
} from './case.ts';
export { type Decided, type Decider, type Decision, DecisionRefused, decide } from './decide.ts';
export { type Judged, judgedFingerprint } from './judged.ts';
