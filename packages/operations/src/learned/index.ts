export { learnedOf } from './learned-of.ts';
export { ReportTally } from './report-tally.ts';
export { truckLevels } from './truck-levels.ts';
