/**
 * The vocabulary, as data: every term with what it means here and where the word comes from, and the labels under which a screen, a
 * mail or a page shows it. DEVELOPERS.md prints it, and tests hold both that table and the labels of every face against it.
 */

export interface Term {
  readonly term: string;
  readonly meaning: string;
  /** `trade`: drivers and shops say so. `standard: ...`: the paper that defines it. `plain`: an everyday word given this meaning. */
  readonly origin: string;
  /** How faces show it, where that is not the term itself. */
  readonly labels?: readonly string[];
}

/** In alphabetical order. */
export const glossary: readonly Term[] = [
  {
    term: 'air spring, air bag',
    meaning: 'the rubber spring on the drive axle whose pressure carries the load',
    origin: 'trade',
  },
  {
    term: 'anomaly',
    meaning: 'a check whose outcome is `missed`: what the data prove',
    origin: 'plain',
  },
  {
    term: 'arrivals',
    meaning: 'files that were taken in, with their rejects, and digests that went out',
    origin: 'plain',
  },
  { term: 'attempt', meaning: 'backed under a trailer, or tried to, and it did not hold', origin: 'plain' },
  {
    term: 'blind sensor',
    meaning: 'a sensor for lack of which a check could not be judged',
    origin: 'plain',
    labels: ['Blind sensors'],
  },
  { term: 'blind speed', meaning: 'below it a wheel-speed sensor reads 0', origin: 'plain' },
  { term: 'bobtail', meaning: 'a tractor without a trailer, and the pressure it then has', origin: 'trade' },
  { term: 'cadence', meaning: 'how a source sends a signal: at intervals, or only changes', origin: 'plain' },
  {
    term: 'case',
    meaning: 'an anomaly as it is followed, from open until it is dismissed or closed',
    origin: 'plain',
    labels: ['State'],
  },
  {
    term: 'check',
    meaning: 'one thing that the policy asks of an episode',
    origin: 'trade',
    labels: ['Checks'],
  },
  { term: 'concern', meaning: 'whom an anomaly is for: driver, yard, shop, or unclear', origin: 'plain' },
  { term: 'contact', meaning: 'the plate meets the trailer and load begins to come on', origin: 'trade' },
  {
    term: 'coupling',
    meaning: 'the tractor takes a trailer and keeps it; drivers say hook',
    origin: 'standard: CDL manual, section 6',
    labels: ['hook'],
  },
  {
    term: 'digest',
    meaning: 'the one mail a day that tells a person what concerns them',
    origin: 'plain',
    labels: ['Digests'],
  },
  {
    term: 'driver',
    meaning: 'who was signed in on the truck, by the id that the readings carry',
    origin: 'trade',
    labels: ['Drivers'],
  },
  { term: 'dump', meaning: 'exhausting the drive-axle air springs', origin: 'trade' },
  {
    term: 'episode',
    meaning: 'one coupling or uncoupling, from the approach until the truck has moved on',
    origin: 'plain',
  },
  { term: 'evidence', meaning: 'the rows and learned values that an episode rests on', origin: 'plain' },
  {
    term: 'exposure',
    meaning: 'how many couplings and uncouplings were seen, and how many of their checks could be judged',
    origin: 'standard: epidemiology',
    labels: ['What was seen'],
  },
  {
    term: 'field sheet',
    meaning: 'what a person in the yard wrote down of couplings and uncouplings, with stopwatch times',
    origin: 'plain',
  },
  {
    term: 'fifth wheel, kingpin',
    meaning: "the tractor's plate with its lock, and the trailer's pin",
    origin: 'standard: SAE J700, J701',
  },
  {
    term: 'from earlier days',
    meaning: 'what belongs to a day whose digest went out already, and was found only now',
    origin: 'plain',
  },
  {
    term: 'gear-hold pause',
    meaning: 'a pause before the trailer is left, in which the landing gear shows that it holds',
    origin: 'plain, after a trade habit',
  },
  { term: 'landing gear, legs', meaning: "what an uncoupled trailer's nose stands on", origin: 'trade' },
  {
    term: 'late reading',
    meaning: 'one that arrived after its day had been told of',
    origin: 'plain',
    labels: ['arrived late'],
  },
  {
    term: 'level',
    meaning: 'a settled pressure or axle load: bobtail, empty or loaded',
    origin: 'plain',
    labels: ['Levels'],
  },
  {
    term: 'levelling valve',
    meaning: 'what fills and empties the air springs to keep the ride height',
    origin: 'trade',
  },
  { term: 'limit', meaning: 'what the policy sets for a check', origin: 'plain' },
  { term: 'load loss', meaning: 'the fifth-wheel load vanished above 15 km/h', origin: 'plain' },
  {
    term: 'load transfer',
    meaning: 'the instant at which half of the load has come onto, or gone off, the fifth wheel',
    origin: 'plain',
  },
  { term: 'milestone', meaning: 'a named instant of an episode, known as an interval', origin: 'plain' },
  {
    term: 'morning list',
    meaning: 'the anomalies that are not settled, the gravest first',
    origin: 'plain',
    labels: ['Morning'],
  },
  {
    term: 'outcome',
    meaning: '`met`, `missed`, `undetermined` or `not-applicable`',
    origin: 'plain',
    labels: ['met', 'missed', 'not judged', 'not asked', 'Could not be judged'],
  },
  {
    term: 'people',
    meaning: 'who may sign in, and what they may see and do',
    origin: 'plain',
  },
  { term: 'policy', meaning: "what a carrier's procedure asks, as a file", origin: 'trade' },
  { term: 'pull-out', meaning: 'the forward movement that leaves the trailer begins', origin: 'trade' },
  { term: 'reading', meaning: 'one row of what a truck reported', origin: 'trade' },
  { term: 'release', meaning: 'the trailer no longer rests on the fifth wheel', origin: 'plain' },
  {
    term: 'review',
    meaning: 'what a person decides about an anomaly',
    origin: 'plain',
    labels: [
      'Confirm',
      'Dismiss',
      'Hand to yard',
      'Hand to shop',
      'Take it',
      'Give back',
      'Note',
      'Close',
      'Undo',
      'What was decided',
    ],
  },
  { term: 'seated', meaning: 'the kingpin is home: standing with the load on', origin: 'trade' },
  {
    term: 'share missed',
    meaning: 'missed of those that could be judged, with the range in which the true share lies at 95 %',
    origin: 'standard: Wilson 1927',
  },
  {
    term: 'signal',
    meaning: 'one quantity that a truck reports, such as its speed',
    origin: 'standard: SAE J1939',
    labels: ['Signals'],
  },
  {
    term: 'silent truck',
    meaning: 'one that sent readings before, and none on the day',
    origin: 'plain',
    labels: ['Silent trucks'],
  },
  {
    term: 'site',
    meaning: 'a place that the fleet knows, with its ground',
    origin: 'plain',
    labels: ['Yard', 'Yards'],
  },
  { term: 'source profile', meaning: "how somebody else's file maps onto a reading", origin: 'plain' },
  { term: 'SPN', meaning: "number of a signal on the truck's bus", origin: 'standard: SAE J1939' },
  {
    term: 'taken back',
    meaning: 'told of by a digest, and not proven any more by the readings that are here now',
    origin: 'plain',
  },
  { term: 'terminal', meaning: 'the branch of the carrier that a site or a truck belongs to', origin: 'trade' },
  {
    term: 'to look at',
    meaning: 'what concerns the shop: a truck to be looked at',
    origin: 'plain',
  },
  { term: 'to mend', meaning: 'what concerns the yard', origin: 'plain' },
  {
    term: 'to sort out',
    meaning: 'an anomaly of which the data do not tell whom it concerns',
    origin: 'plain',
  },
  {
    term: 'to talk over',
    meaning: 'what concerns a driver: the beginning of a conversation',
    origin: 'plain',
  },
  {
    term: 'truck',
    meaning: 'a tractor, by the id that the readings carry',
    origin: 'trade',
    labels: ['Trucks'],
  },
  {
    term: 'tug test',
    meaning: "a gentle pull forward against the trailer's set brakes",
    origin: 'standard: CDL manual, section 6, step 11',
  },
  {
    term: 'uncoupling',
    meaning: 'the tractor leaves a trailer; drivers say drop',
    origin: 'standard: CDL manual, section 6',
    labels: ['drop'],
  },
  {
    term: 'urgency',
    meaning: 'urgent: somebody may be in danger now; today; routine',
    origin: 'plain',
    labels: ['urgent', 'see to it today', 'New and urgent'],
  },
];

/** The term that a label stands for, whatever its capital; null for a label that no term explains. */
export function termOf(label: string): Term | null {
  const plain = label.toLowerCase();
  return (
    glossary.find(({ term, labels = [] }) => [term, ...labels].some((name) => name.toLowerCase() === plain)) ?? null
  );
}
