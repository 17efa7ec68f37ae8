import { IntakeReport } from '@gearhold/signals';
import { expect, it } from 'vitest';
import { summaryLines } from './summary.ts';

const found = {
  vehicles: 61,
  breaks: 2,
  restarts: 1,
  stuck: 3,
  episodes: new Map([
    ['uncoupling', 74],
    ['coupling', 1],
  ]),
  anomalies: 6,
};

it('says what became of the rows and what was found in them', () => {
  const intake = new IntakeReport();
  intake.rowsRead = 1_234_567;
  intake.rejected.late = 3;
  intake.rejected.time = 9;
  intake.duplicates = 1;
  intake.conflicts = 2;
  intake.unusableCells[0] = 12;
  intake.unusableDriverIds = 1;
  intake.nameUnknownColumn('mood');
  intake.nameUnknownColumn('odd\nname');
  expect(summaryLines(intake, found, { files: 2, seconds: 5 })).toEqual([
    'rows read         1,234,567 from 2 files, 246,913 rows/s',
    'rows rejected     12',
    '  time            9: its time is missing or not in the expected form',
    '  late            3: it came later than the bound on lateness allows',
    'duplicates        1 row repeated another exactly, counted once',
    'conflicts         2 values of one instant disagreed, taken as not reported',
    'unusable cells    speedKph 12, driverId 1, taken as not reported',
    'not read          columns mood, odd\\x0aname: not in the list of signals',
    'vehicles          61',
    'silences          2 too long to tell an episode across, or a clock that jumped',
    'level moves       1 time the level without a trailer moved for good: a sensor mended or replaced?',
    'stuck sensors     3 times a load sensor repeated itself while driving, taken as silent',
    'episodes          75 (1 coupling, 74 uncouplings)',
    'anomalies         6',
  ]);
});

it('is short where nothing went wrong, and shows no rate without a time', () => {
  const none = { vehicles: 0, breaks: 0, restarts: 0, stuck: 0, episodes: new Map(), anomalies: 0 };
  expect(summaryLines(new IntakeReport(), none, { files: 1, seconds: 0 })).toEqual([
    'rows read         0 from 1 file',
    'rows rejected     0',
    'vehicles          0',
    'episodes          0',
    'anomalies         0',
  ]);
});
