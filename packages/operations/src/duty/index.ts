export { type DutyPlace, dutyPlace } from './place.ts';
export { type DutyOutcome, sendDutyMails } from './send.ts';
