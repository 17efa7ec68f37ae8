/**
 * What was learned of each truck as a page of the ledger: what carries its load, its levels and where they come from, its
 * sensors, what it reports and how often, and which checks that leaves out. Pure: trucks in, lines out.
 */
import type { Contradiction } from '@gearhold/episodes';
import {
  bodyWidth,
  count,
  entry,
  figureText,
  inUnits,
  lightRule,
  namesOf,
  printable,
  table,
  type Units,
  whole,
  wrap,
  zoneTime,
} from '@gearhold/look';
import type { TruckLevels } from '@gearhold/schemas';
import { type Frame, footLines, headLines, pageOf } from '../report/frame.ts';

export interface LevelsPageOptions extends Frame {
  readonly units: Units;
  /** Vehicles of the vehicles file. */
  readonly stated: readonly string[];
}

export function levelsPage(trucks: readonly TruckLevels[], options: LevelsPageOptions): string[] {
  const page = pageOf(options);
  const lines = [...headLines('gearhold levels', options), ...wrap(lead(trucks, options), options.width), ''];
  if (trucks.length > 0) lines.push(lightRule(page));
  for (const truck of trucks) lines.push(...entry(page, margin(truck), body(truck, options)), lightRule(page));
  if (trucks.length > 0) lines.push('');
  const reach =
    'A check that can be judged may still be undetermined where rows are lost, or where what happened lies near a limit.';
  return [...lines, ...footLines(options, reach)];
}

function lead(trucks: readonly TruckLevels[], { stated }: LevelsPageOptions): string {
  if (trucks.length === 0) {
    return 'No readings could be used, so nothing was learned. A reading needs time and vehicleId; levels are learned from speedKph, and suspensionKpa or axleLoadKg. Run gearhold levels --help for the list of signals.';
  }
  const known = trucks.filter(({ levels }) => levels.bobtail !== null).length;
  const contradicted = trucks.filter(({ contradictions }) => contradictions.length > 0);
  const limited = trucks.filter(({ checks }) => checks.some(({ reach }) => reach === 'never-judged')).length;
  const silent = stated.filter((id) => trucks.every(({ vehicleId }) => vehicleId !== id));
  const sentences = [
    `${count(trucks.length, 'truck')}. The level without a trailer is known of ${known === trucks.length ? 'every one' : known === 0 ? 'none' : whole(known)}.`,
    limited === 0
      ? 'No check is out of reach.'
      : `On ${limited === trucks.length ? 'every truck' : whole(limited)} some checks can never be judged; the reasons stand beside them.`,
  ];
  if (contradicted.length > 0)
    sentences.push(
      `The readings contradict the vehicles file on ${namesOf(
        contradicted.map(({ vehicleId }) => vehicleId),
        8,
      )}.`,
    );
  if (silent.length > 0) sentences.push(`In the vehicles file, but not in the readings: ${namesOf(silent, 8)}.`);
  return sentences.join(' ');
}

function margin({ firstTime, lastTime, rows }: TruckLevels): string[] {
  const [first, last] = [zoneTime(firstTime).date, zoneTime(lastTime).date];
  return [first, ...(first === last ? [] : [`to ${last}`]), count(rows, 'row')];
}

function body(truck: TruckLevels, options: LevelsPageOptions): string[] {
  const width = bodyWidth(pageOf(options));
  const { strong } = options.paint;
  return [
    ...wrap(loadSentence(truck), width).map(strong),
    ...(truck.loadSignal === null ? [] : levelTable(truck, options.units, width)),
    ...truck.contradictions.flatMap((one) => wrap(contradicted(one, truck, options.units), width).map(strong)),
    ...wrap(sensors(truck, options.units), width),
    ...listed(reported(truck), width),
    ...unreached(truck, width),
  ];
}

function loadSentence({ vehicleId, loadSignal, driveSuspension, signals, episodes }: TruckLevels): string {
  const truck = `Truck ${printable(vehicleId, 64)}`;
  const none = 'No coupling or uncoupling can be seen on it.';
  if (loadSignal === null && driveSuspension === 'spring') {
    return `${truck} runs on steel springs by the vehicles file. Pressure proves nothing there, and axleLoadKg, which would, is not reported. ${none}`;
  }
  if (loadSignal === null) {
    return `${truck} reports no load: neither suspensionKpa nor axleLoadKg. ${none}`;
  }
  const steel = driveSuspension === 'spring' ? ', which runs on steel springs by the vehicles file,' : '';
  const shows = loadSignal === 'axleLoadKg' ? 'the axle load' : 'drive-axle pressure';
  if (signals.every(({ signal }) => signal !== 'speedKph'))
    return `${truck}${steel} shows its load by ${shows}, but reports no speedKph. ${none}`;
  const couplings = count(episodes.coupling ?? 0, 'coupling');
  return `${truck}${steel} shows its load by ${shows}: ${couplings} and ${count(episodes.uncoupling ?? 0, 'uncoupling')} seen.`;
}

const levelNames = { bobtail: 'Bobtail', empty: 'Empty trailer', loaded: 'Full trailer' } as const;

function levelTable(truck: TruckLevels, units: Units, width: number): string[] {
  const names = ['bobtail', 'empty', 'loaded'] as const;
  const rows = names.map((name) => [levelNames[name], levelFigure(truck, truck.levels[name]?.value, units)]);
  const figures = table(rows);
  return names.flatMap((name, i) => {
    const indent = `${figures[i]}  `;
    const [first = '', ...rest] = wrap(basisOf(truck, name), width - indent.length);
    return [`${indent}${first}`, ...rest.map((line) => `${' '.repeat(indent.length)}${line}`)];
  });
}

function levelFigure({ unit }: TruckLevels, value: number | undefined, units: Units): string {
  return value === undefined ? 'not known' : figure(value, unit ?? '', units).replaceAll('\u00a0', ' ');
}

function basisOf({ levels, bobtailTransfers, trailers }: TruckLevels, name: keyof typeof levelNames): string {
  const level = levels[name];
  if (level?.basis === 'stated') return 'stated';
  if (name === 'bobtail') {
    return level === null
      ? 'learned once a trailer is taken or left'
      : `learned from ${count(bobtailTransfers, 'transfer')}`;
  }
  if (name === 'empty' && level === null && levels.loaded?.basis === 'stated')
    return 'not learned where the full one is stated';
  if (level !== null) return `learned from ${count(trailers?.count ?? 0, 'trailer')}`;
  return 'learned once an empty and a full one were taken';
}

function sensors(truck: TruckLevels, units: Units): string {
  const { noise, step, unit, blindSpeedKph: blind, idleRpm, releasedPedalPct, loadSignal, trailers } = truck;
  const sentences: string[] = [];
  if (trailers !== null && unit !== null) {
    const [low, high] = [figure(trailers.lightest, unit, units), figure(trailers.heaviest, unit, units)];
    sentences.push(
      trailers.count === 1 ? `One trailer, at ${high}.` : `${whole(trailers.count)} trailers, from ${low} to ${high}.`,
    );
  }
  if (loadSignal !== null) {
    const shown = (value: number | null) => (value === null ? 'not known' : fine(value, unit ?? '', units));
    sentences.push(`Load noise ${shown(noise)}, smallest step ${shown(step)}.`);
  }
  if (truck.signals.some(({ signal }) => signal === 'speedKph')) {
    const basis = { stated: 'stated', learned: 'learned', assumed: 'assumed until slow speeds are seen' }[blind.basis];
    sentences.push(`Speed reads 0 below ${fine(blind.value, 'km/h', units)} (${basis}).`);
  }
  if (idleRpm !== null) sentences.push(`Idle ${figureText(idleRpm)}\u00a0r/min.`);
  if (releasedPedalPct !== null) sentences.push(`Released pedal ${figureText(releasedPedalPct)}\u00a0%.`);
  return sentences.join(' ');
}

function contradicted({ figure: name, stated, seen, times }: Contradiction, truck: TruckLevels, units: Units): string {
  if (name === 'blindSpeedKph') {
    const speed = (kph: number) => fine(kph, 'km/h', units);
    return seen < stated
      ? `The vehicles file says that speed reads 0 below ${speed(stated)}; the readings show speeds down to ${speed(seen)}.`
      : `The vehicles file says that speed reads 0 below ${speed(stated)}; the slowest that was ever reported is ${speed(seen)}.`;
  }
  const [says, shows] = [figure(stated, 'kPa', units), figure(seen, 'kPa', units)];
  const used = {
    bobtailKpa: truck.levels.bobtail,
    emptyKpa: truck.levels.empty,
    loadedKpa: truck.levels.loaded,
  }[name];
  const still = used?.basis === 'stated' ? 'The stated one is still used: mend the file.' : 'What was learned is used.';
  if (name === 'bobtailKpa')
    return `The vehicles file states ${says} for bobtail; ${count(times ?? 0, 'transfer')} show about ${shows}. ${still}`;
  const which = name === 'emptyKpa' ? ['an empty', 'lighter'] : ['a full', 'heavier'];
  return `The vehicles file states ${says} for ${which[0]} trailer; ${count(times ?? 0, 'trailer')} were ${which[1]}, about ${shows}. ${still}`;
}

/** What is reported how: a label and the signals; the most frequent first. */
function reported({ signals, notReported }: TruckLevels): [label: string, names: readonly string[]][] {
  const periodic = Map.groupBy(
    signals.filter(({ mode }) => mode === 'periodic'),
    ({ everySeconds }) => everySeconds ?? 0,
  );
  const lists: [string, string[]][] = [...periodic]
    .sort(([a], [b]) => a - b)
    .map(([seconds, group]) => [
      `Every ${seconds}\u00a0s`,
      group.map(({ signal, share }) => (share < usuallyThere ? `${signal}\u00a0${percent(share)}` : signal)),
    ]);
  const changes = signals.filter(({ mode }) => mode === 'change-only');
  lists.push(['Only changes', changes.map(({ signal, share }) => `${signal}\u00a0${percent(share)}`)]);
  const seldom = signals.filter(({ mode }) => mode === 'unknown');
  lists.push(['Too seldom to tell how', seldom.map(({ signal, rows }) => `${signal}\u00a0(${rows})`)]);
  lists.push(['Never', notReported]);
  return lists.filter(([, names]) => names.length > 0);
}

/** A periodic signal in fewer of the rows than this has its share beside it. */
const usuallyThere = 0.95;

function percent(share: number): string {
  const value = share * 100;
  return `(${value < 0.1 ? '<0.1' : figureText(value)}\u00a0%)`;
}

/** Labelled lists, their further lines indented. */
function listed(lists: readonly (readonly [label: string, names: readonly string[]])[], width: number): string[] {
  return lists.flatMap(([label, names]) => indented(`${label}: ${names.join(', ')}.`, width));
}

function indented(text: string, width: number): string[] {
  return wrap(text, width - 2).map((line, i) => (i === 0 ? line : `  ${line}`));
}

const reachWords = {
  'never-judged': 'Can never be judged',
  'never-missed': 'Can be shown met, but never missed',
  'never-met': 'Can be shown missed, but never met',
  'not-asked': 'Not asked',
} as const;

/** Checks that are out of reach, those with the same reason on one line. */
function unreached({ checks, loadSignal, signals }: TruckLevels, width: number): string[] {
  const blind = loadSignal === null || signals.every(({ signal }) => signal !== 'speedKph');
  const out = checks.filter(({ reach }) => reach !== 'judged');
  if (checks.length === 0) return wrap('The policy asks no check of it.', width);
  if (blind) return wrap('No check that the policy asks can be judged on it.', width);
  if (out.length === 0) return wrap('No check that the policy asks is out of reach.', width);
  return (Object.keys(reachWords) as (keyof typeof reachWords)[]).flatMap((reach) => {
    const reasons = out
      .filter((one) => one.reach === reach)
      .flatMap(({ check, why }) => why.map((reason) => ({ check, reason })));
    if (reasons.length === 0) return [];
    const lines = [...Map.groupBy(reasons, ({ reason }) => reason)].flatMap(([reason, group]) =>
      indented(`${group.map(({ check }) => check).join(', ')}: ${reason}.`, width - 2),
    );
    return [`${reachWords[reach]}:`, ...lines.map((line) => `  ${line}`)];
  });
}

/** A level or a load: whole figures. */
function figure(value: number, unit: string, units: Units): string {
  const shown = inUnits(value, unit, units);
  return `${shown.unit === 'psi' ? shown.value.toFixed(1) : whole(shown.value)}\u00a0${shown.unit}`;
}

/** Noise, a step or a slow speed: tenths matter. */
function fine(value: number, unit: string, units: Units): string {
  const shown = inUnits(value, unit, units);
  return `${shown.value < 1 && shown.unit === 'psi' ? shown.value.toFixed(2) : figureText(shown.value)}\u00a0${shown.unit}`;
}
