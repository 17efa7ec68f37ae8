export type { AnalysisTally, AttentionCode, NightOutcome } from './outcome.ts';
export { planNight } from './plan.ts';
export { type NightOptions, type NightSteps, type NightWatcher, runNight } from './run.ts';
export { nightLines, planLines } from './summary.ts';
