/** What was seen, and how much of it could be judged: said before anything that was missed, since a share says more than a count. */
import { count, Findings, kindsSeen, type Tally, whole } from '@gearhold/look';
import { checkList } from '@gearhold/policy';
import type { DigestContent } from './content.ts';
import type { DayFacts } from './facts.ts';
import type { Scope } from './scope.ts';

export interface Exposure {
  readonly sentences: readonly string[];
  readonly tally: DigestContent['tally'];
  /** Whether any truck was heard. */
  readonly readings: boolean;
}

const hourMs = 3_600_000;

export function exposure(facts: DayFacts, scope: Scope): Exposure {
  const findings = new Findings();
  for (const { wire } of scope.episodes(facts)) findings.add(wire);
  const heard = scope.trucks(facts).filter((truck) => truck.heard).length;
  const sentences = heard === 0 ? [nothingCame] : seenSentences(findings, heard);
  const hours = (facts.window.endMs - facts.window.startMs) / hourMs;
  if (hours !== 24) sentences.push(`The clocks changed: the day had ${hours} hours.`);
  return { sentences, tally: tallyOf(findings), readings: heard > 0 };
}

const nothingCame = 'No readings of this day have come, so nothing was seen. See whether the files were sent.';

/** An empty day teaches what would stand here. */
const whatItTakes =
  'Each would stand here with what the data prove about it; to see one it takes speed, and pressure or axle load.';

function seenSentences(findings: Findings, heard: number): string[] {
  const trucks = `${count(heard, 'truck')} sent readings`;
  if (findings.kinds.size === 0) return [`${trucks}; no coupling or uncoupling was seen in them.`, whatItTakes];
  const { asked, judged, met, missed } = sums([...findings.tallies.values()]);
  const on = findings.vehicles === heard ? `on all of them` : `on ${findings.vehicles} of them`;
  const sentences = [
    `${trucks}; ${kindsSeen(findings.kinds)} ${findings.vehicles === 1 && heard === 1 ? 'seen on it' : `seen ${on}`}.`,
  ];
  if (asked > 0) {
    sentences.push(
      `Of ${count(asked, 'check')} asked, ${whole(judged)} could be judged (${percent(judged, asked)}): ${whole(met)} met, ${whole(missed)} missed.`,
    );
  }
  return sentences;
}

function sums(tallies: readonly Tally[]): { asked: number; judged: number; met: number; missed: number } {
  let [met, missed, undetermined] = [0, 0, 0];
  for (const tally of tallies) {
    met += tally.met;
    missed += tally.missed;
    undetermined += tally.undetermined;
  }
  return { asked: met + missed + undetermined, judged: met + missed, met, missed };
}

/** A share in whole per cent, which is 0 or 100 only where it is none or all. */
function percent(part: number, all: number): string {
  const rounded = Math.round((100 * part) / all);
  const shown = part === all ? 100 : part === 0 ? 0 : Math.min(99, Math.max(1, rounded));
  return `${shown}\u00a0%`;
}

function tallyOf(findings: Findings): DigestContent['tally'] {
  const known = checkList.map(({ name }) => name as string);
  const others = [...findings.tallies.keys()].filter((name) => !known.includes(name)).sort();
  const rows = [...known, ...others].flatMap((name) => {
    const tally = findings.tallies.get(name);
    if (tally === undefined) return [];
    return [[name, ...[tally.missed, tally.met, tally.undetermined].map(whole)]];
  });
  return { head: ['Checks', 'missed', 'met', 'not judged'], rows };
}
