/**
 * What a day leaves unknown, with the same dignity as what it proves: checks that could not be judged and why, sensors for lack of
 * which that was so, and trucks that went silent.
 */
import { boundUnits, capital, count, Findings, namesOf, type Unjudged, unjudgedReason, zoneTime } from '@gearhold/look';
import type { WireCheck } from '@gearhold/policy';
import type { Recipient } from '@gearhold/schemas';
import type { DigestLine } from './content.ts';
import type { DayFacts } from './facts.ts';
import type { Scope } from './scope.ts';

const namesShown = 8;
/** Checks whose reason is told; a mail that tells all of them is read by nobody. */
const checksShown = 5;

/** Whether a sensor was lacking, by the words in which every check says so. */
function lacksSensor({ outcome, reason }: Pick<WireCheck, 'outcome' | 'reason'>): boolean {
  return outcome === 'undetermined' && /\b(was|were) (not )?reported\b|spring suspension/.test(reason);
}

function unjudgedOf(facts: DayFacts, scope: Scope): readonly Unjudged[] {
  const findings = new Findings();
  for (const { wire } of scope.episodes(facts)) findings.add(wire);
  return findings.unjudged;
}

/** A line a check, the one that could be judged least often first; what a sensor was lacking for is left to {@link blindLines} where those are told. */
export function unjudgedLines(facts: DayFacts, scope: Scope, { units }: Recipient): DigestLine[] {
  const elsewhere = ({ example }: Unjudged) => scope.concerned('shop') && lacksSensor(example.check);
  const groups = unjudgedOf(facts, scope).filter((group) => !elsewhere(group));
  const byCheck = [...Map.groupBy(groups, ({ check }) => check)].map(([check, ofCheck]) => {
    const times = ofCheck.reduce((sum, group) => sum + group.times, 0);
    const [most] = ofCheck;
    const reason = boundUnits(unjudgedReason(most!.example.check, units));
    const said =
      ofCheck.length === 1 && most!.alike
        ? reason
        : `For example, truck ${namesOf([most!.example.vehicleId])}: ${reason}`;
    return { check, times, said };
  });
  byCheck.sort((a, b) => b.times - a.times || (a.check < b.check ? -1 : 1));
  const lines = byCheck
    .slice(0, checksShown)
    .map(({ check, times, said }) => ({ head: `${check}, ${count(times, 'time')}`, text: said }));
  const others = byCheck.slice(checksShown);
  if (others.length > 0) {
    const times = others.reduce((sum, { times }) => sum + times, 0);
    lines.push({
      head: `${count(others.length, 'more check', 'more checks')}, ${count(times, 'time')}`,
      text: `${capital(others.map(({ check }) => check).join(', '))}: the table below has the counts.`,
    });
  }
  return lines;
}

/** Trucks of whose trailers nothing can be seen, then what was lacking for single checks. */
export function blindLines(facts: DayFacts, scope: Scope, { units }: Recipient): DigestLine[] {
  const lines: DigestLine[] = [];
  const unseen = scope.trucks(facts).filter(({ heard, loadReported }) => heard && !loadReported);
  if (unseen.length > 0) {
    lines.push({
      head: trucks(unseen.map(({ vehicleId }) => vehicleId)),
      text: 'Neither pressure nor axle load was reported: no coupling or uncoupling can be seen.',
    });
  }
  const onSteel = scope.trucks(facts).filter(({ heard, steelSprings }) => heard && steelSprings);
  if (onSteel.length > 0) {
    lines.push({
      head: trucks(onSteel.map(({ vehicleId }) => vehicleId)),
      text: 'On steel springs by the vehicles file, where pressure proves nothing: only axle load can show a trailer.',
    });
  }
  const groups = unjudgedOf(facts, scope).filter(({ example }) => lacksSensor(example.check));
  const byReason = Map.groupBy(groups, ({ example }) => unjudgedReason(example.check, units));
  const told = [...byReason].map(([reason, ofReason]) => ({
    reason,
    times: ofReason.reduce((sum, group) => sum + group.times, 0),
    vehicleIds: [...new Set(ofReason.flatMap(({ vehicleIds }) => vehicleIds))].sort(),
    checks: [...new Set(ofReason.map(({ check }) => check))],
  }));
  told.sort((a, b) => b.times - a.times || (a.reason < b.reason ? -1 : 1));
  for (const { reason, times, vehicleIds, checks } of told) {
    lines.push({ head: trucks(vehicleIds), text: `${reason} ${count(times, 'time')}: ${checks.join(', ')}.` });
  }
  return lines;
}

/** The one that is silent longest last: what is new comes first. */
export function silentLines(facts: DayFacts, scope: Scope): DigestLine[] {
  const silent = scope.trucks(facts).filter(({ heard }) => !heard);
  const byDay = Map.groupBy(
    silent.toSorted((a, b) => b.lastReadingMs - a.lastReadingMs),
    ({ lastReadingMs }) => zoneTime(new Date(lastReadingMs).toISOString(), facts.window.zone).date,
  );
  return [...byDay].map(([date, ofDay]) => ({
    head: trucks(ofDay.map(({ vehicleId }) => vehicleId).sort()),
    text: `Last heard on ${date}.`,
  }));
}

function trucks(vehicleIds: readonly string[]): string {
  return `${vehicleIds.length === 1 ? 'Truck' : 'Trucks'} ${namesOf(vehicleIds, namesShown)}`;
}
