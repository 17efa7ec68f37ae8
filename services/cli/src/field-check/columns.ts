/**
 * The columns of a field sheet: one table that the printed sheet, the CSV template and the reader share, so that what is
 * written in the yard can be typed in as it stands. Names follow the episode of the analysis; the words beside them are
 * what a person in the yard reads.
 */

/** What was watched: `none` is a truck that neither took nor left a trailer while it was watched. */
export const watchedKinds = ['coupling', 'uncoupling', 'none'] as const;
export type WatchedKind = (typeof watchedKinds)[number];

/** Where the driver paused for the landing gear, the longest pause. */
export const pausePlaces = ['none', 'before-pull', 'under-nose'] as const;
export type PausePlace = (typeof pausePlaces)[number];

/** Milestones that are timed once, in the order in which they usually come. */
export const couplingTimes = [
  'approachTime',
  'contactTime',
  'loadTransferTime',
  'seatedTime',
  'departureTime',
] as const;
export const uncouplingTimes = [
  'standTime',
  'dumpTime',
  'pullOutTime',
  'loadTransferTime',
  'releaseTime',
  'holdStartTime',
  'holdEndTime',
  'clearTime',
] as const;
export type TimedMilestone = (typeof couplingTimes)[number] | (typeof uncouplingTimes)[number];

export interface TimedWords {
  /** On the printed sheet. */
  readonly sheet: string;
  /** In a sentence about the episode: 'the trailer touched'. */
  readonly said: string;
}

/** What a person sees of each milestone. The load transfer reads differently by kind. */
const timedWords: Readonly<Record<Exclude<TimedMilestone, 'loadTransferTime'> | 'tugTestTimes', TimedWords>> = {
  approachTime: { sheet: 'Last reverse begins', said: 'the last reverse began' },
  contactTime: { sheet: 'Plate touches the trailer', said: 'the plate touched the trailer' },
  seatedTime: { sheet: 'Kingpin home, stands', said: 'the kingpin was home' },
  tugTestTimes: { sheet: 'Tug tests, each', said: 'a tug test' },
  departureTime: { sheet: 'Moves off with it', said: 'the truck moved off with the trailer' },
  standTime: { sheet: 'Comes to rest', said: 'the truck came to rest' },
  dumpTime: { sheet: 'Air is let out, done', said: 'the air was let out' },
  pullOutTime: { sheet: 'Pull-out begins', said: 'the pull-out began' },
  releaseTime: { sheet: 'Plate off the trailer', said: 'the plate was off the trailer' },
  holdStartTime: { sheet: 'Gear-hold pause begins', said: 'the gear-hold pause began' },
  holdEndTime: { sheet: 'Gear-hold pause ends', said: 'the gear-hold pause ended' },
  clearTime: { sheet: 'Moves on for good', said: 'the truck moved on for good' },
};

const loadWords: Readonly<Record<'coupling' | 'uncoupling', TimedWords>> = {
  coupling: { sheet: 'Load comes on, the frame dips', said: 'the load came on' },
  uncoupling: { sheet: 'Load goes off, the frame rises', said: 'the load went off' },
};

export function wordsOf(milestone: TimedMilestone | 'tugTestTimes', kind: 'coupling' | 'uncoupling'): TimedWords {
  return milestone === 'loadTransferTime' ? loadWords[kind] : timedWords[milestone];
}

/** Every column in the order of the template. */
export const sheetColumns = [
  'date',
  'yard',
  'zone',
  'vehicleId',
  'kind',
  'watchedFrom',
  'approachTime',
  'contactTime',
  'standTime',
  'dumpTime',
  'pullOutTime',
  'loadTransferTime',
  'releaseTime',
  'seatedTime',
  'tugTestTimes',
  'holdStartTime',
  'holdEndTime',
  'departureTime',
  'clearTime',
  'watchedUntil',
  'gotOut',
  'stopSeconds',
  'tugTests',
  'pause',
  'pauseSeconds',
  'parkingBrakeSet',
  'dumpUsed',
  'secondHit',
  'remarks',
  'watcher',
] as const;
export type SheetColumn = (typeof sheetColumns)[number];

/** The CSV template: the header row, to type a filled sheet under. */
export function csvTemplate(): string {
  return `${sheetColumns.join(',')}\n`;
}

/** Couplings and uncouplings that a carrier watches before it acts on any verdict. */
export const enoughWatched = 30;
