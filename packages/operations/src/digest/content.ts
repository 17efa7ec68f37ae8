/**
 * What a digest says to one recipient, before it is drawn: exposure first, then what cannot wait, then what belongs to driver, yard and
 * shop, then what is not known, then earlier days. Pure: facts in, content out; the renderings for HTML and text only lay it out.
 */
import { type CheckBar, count, type ZoneTime } from '@gearhold/look';
import type { Recipient } from '@gearhold/schemas';
import { EntryWriter } from './entries.ts';
import { exposure } from './exposure.ts';
import type { DayFacts, EarlierFact, EarlierFacts } from './facts.ts';
import { blindLines, silentLines, unjudgedLines } from './gaps.ts';
import { Scope } from './scope.ts';

/** One anomaly. */
export interface DigestEntry {
  readonly when: ZoneTime;
  /** Whether the date is worth saying: it is not the day's. */
  readonly otherDay: boolean;
  readonly place: string | null;
  /** Words before the sentence, such as `urgent`; empty for most. */
  readonly tags: readonly string[];
  readonly urgent: boolean;
  readonly sentence: string;
  /** Null where there is no limit to draw. */
  readonly bar: CheckBar | null;
  /** Truck, episode, whom it concerns, check. */
  readonly about: readonly string[];
  /** Into the console; null where its address is not configured. */
  readonly link: string | null;
}

/** A line of what is not known: what, and why. */
export interface DigestLine {
  readonly head: string;
  readonly text: string;
}

export interface DigestSection {
  readonly title: string;
  /** What the section is, in a sentence; null where the title says it. */
  readonly note: string | null;
  readonly entries: readonly DigestEntry[];
  readonly lines: readonly DigestLine[];
}

/** What stands at the head of a mail, beside the name. */
export const mastheads = { digest: 'daily digest', urgent: 'urgent' } as const;

export interface DigestContent {
  readonly kind: keyof typeof mastheads;
  readonly subject: string;
  /** `Monday 2 March 2026`; of an urgent mail the truck. */
  readonly day: string;
  /** Paragraphs: what was seen and how much of it could be judged; what there is to look at. */
  readonly lead: readonly string[];
  readonly sections: readonly DigestSection[];
  /** Outcomes by check: a head and rows; no rows on a day without an episode. */
  readonly tally: { readonly head: readonly string[]; readonly rows: readonly (readonly string[])[] };
  /** Why this mail came, and how to change that. */
  readonly foot: string;
}

export interface ContentOptions {
  /** Address of the console, or null where there is none to link to. */
  readonly consoleUrl: string | null;
}

export function digestContent(
  facts: DayFacts,
  earlier: EarlierFacts,
  recipient: Recipient,
  options: ContentOptions,
): DigestContent {
  const scope = new Scope(recipient);
  const writer = new EntryWriter(facts, recipient, options);
  const missed = facts.episodes.flatMap((fact) =>
    fact.wire.checks
      .filter((check) => check.outcome === 'missed' && scope.tells(fact, check))
      .map((check) => ({ fact, check, late: facts.arrivedLate.has(`${fact.wire.episodeId}/${check.check}`) })),
  );
  // What arrived late alarms nobody: the moment to act has passed.
  const isUrgent = ({ check, late }: (typeof missed)[number]) => check.urgency !== 'routine' && !late;
  const byUrgency = missed.toSorted((a, b) => rank(a.check.urgency) - rank(b.check.urgency));
  const entriesOf = (chosen: typeof missed) =>
    chosen.map(({ fact, check, late }) => writer.entry(fact, check, { late }));
  const urgent = entriesOf(byUrgency.filter(isUrgent));
  const rest = missed.filter((one) => !isUrgent(one));
  const sections: DigestSection[] = [
    { title: 'New and urgent', note: null, entries: urgent, lines: [] },
    ...concernSections.map(({ title, note, concern }) => ({
      title,
      note,
      entries: entriesOf(rest.filter(({ check }) => check.concern === concern)),
      lines: [],
    })),
  ];
  const found = earlier.found.filter((fact) => scope.tells(fact, fact.check));
  const takenBack = earlier.takenBack.filter((fact) => scope.tells(fact, fact.check));
  sections.push(
    ...gapSections(facts, scope, recipient),
    {
      title: 'From earlier days',
      note: 'Found since the digest before: readings came late, or the episode had not ended.',
      entries: found.map((fact) => writer.entry(fact, fact.check, { late: fact.arrivedLate, earlier: true })),
      lines: [],
    },
    {
      title: 'Taken back',
      note: 'A digest before this one told of these. With the readings that are here now they are not proven any more.',
      entries: [],
      lines: takenBack.map((fact) => writer.takenBack(fact)),
    },
  );
  const shown = sections.filter(({ entries, lines }) => entries.length + lines.length > 0);
  const seen = exposure(facts, scope);
  return {
    kind: 'digest',
    subject: subjectOf(writer.shortDay, missed.length, urgent.filter((entry) => entry.urgent).length, seen.readings),
    day: writer.day,
    lead: [seen.sentences, lookSentences(missed.length, urgent.length, found, takenBack, seen.readings)]
      .filter((sentences) => sentences.length > 0)
      .map((sentences) => sentences.join(' ')),
    sections: shown,
    tally: seen.tally,
    foot: footOf(recipient),
  };
}

const concernSections = [
  { title: 'To talk over', note: 'Steps of drivers: the beginning of a conversation, not its end.', concern: 'driver' },
  { title: 'To mend', note: 'For the yard.', concern: 'yard' },
  { title: 'To look at', note: 'For the shop.', concern: 'shop' },
  { title: 'To sort out', note: 'The data do not tell whom these are for.', concern: 'unclear' },
] as const;

function rank(urgency: string): number {
  return ['urgent', 'today', 'routine'].indexOf(urgency);
}

/** What the day leaves unknown. Sensors and silent trucks are the shop's. */
function gapSections(facts: DayFacts, scope: Scope, recipient: Recipient): DigestSection[] {
  const sections: DigestSection[] = [
    { title: 'Could not be judged', note: null, entries: [], lines: unjudgedLines(facts, scope, recipient) },
  ];
  if (!scope.concerned('shop')) return sections;
  sections.push(
    {
      title: 'Blind sensors',
      note: 'For lack of these, steps could not be judged.',
      entries: [],
      lines: blindLines(facts, scope, recipient),
    },
    {
      title: 'Silent trucks',
      note: 'Heard from within the fortnight before, and not on this day.',
      entries: [],
      lines: silentLines(facts, scope),
    },
  );
  return sections;
}

function subjectOf(day: string, missed: number, urgent: number, readings: boolean): string {
  const what =
    missed === 0
      ? readings
        ? 'nothing to look at'
        : 'no readings'
      : `${missed} to look at${urgent > 0 ? `, ${urgent} urgent` : ''}`;
  return `gearhold ${day}: ${what}`;
}

function lookSentences(
  missed: number,
  urgent: number,
  found: readonly EarlierFact[],
  takenBack: readonly EarlierFact[],
  readings: boolean,
): string[] {
  const sentences: string[] = [];
  if (missed > 0) {
    const soon =
      urgent === 0 ? 'none of them urgent' : urgent === missed ? 'not to be put off' : `${urgent} not to be put off`;
    sentences.push(`${count(missed, 'anomaly', 'anomalies')} to look at, ${soon}.`);
  } else if (readings) sentences.push('No step was proven missed: nothing to look at.');
  const before = [
    ...(found.length > 0 ? [`${found.length} more from earlier days`] : []),
    ...(takenBack.length > 0 ? [`${takenBack.length} taken back`] : []),
  ];
  if (before.length > 0) sentences.push(`${before.join(', ')}.`);
  return sentences;
}

function footOf({ address, terminals, concerns }: Recipient): string {
  const where =
    terminals === 'all'
      ? 'all terminals'
      : `${terminals.length === 1 ? 'terminal' : 'terminals'} ${terminals.join(', ')}`;
  const what = concerns === 'all' ? 'every concern' : `what concerns ${concerns.join(', ')}`;
  return `Sent once a day to ${address}, which the recipients file lists for ${where} and ${what}.`;
}
