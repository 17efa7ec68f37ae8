import { termOf } from '@gearhold/look';
import type { Recipient } from '@gearhold/schemas';
import { describe, expect, it } from 'vitest';
import { type DigestContent, digestContent } from './content.ts';
import type { DayFacts, EarlierFacts } from './facts.ts';
import { check, day, episode, fact, nothingEarlier, recipient, truck, unjudged } from './testing/day.ts';

function said(facts: DayFacts, to: Partial<Recipient> = {}, earlier: EarlierFacts = nothingEarlier): DigestContent {
  return digestContent(facts, earlier, recipient(to), { consoleUrl: null });
}

function titles(content: DigestContent): string[] {
  return content.sections.map(({ title }) => title);
}

function section(content: DigestContent, title: string) {
  return content.sections.find((one) => one.title === title);
}

const missedOf = (concern: 'driver' | 'yard' | 'shop' | 'unclear', name = `check-${concern}`) =>
  check({ check: name, concern });

describe('a day', () => {
  it('begins with what was seen and how much of it could be judged', () => {
    const facts = day({
      trucks: [truck('T-104'), truck('T-117')],
      episodes: [
        fact(episode('a', [check(), check({ outcome: 'met' })])),
        fact(
          episode('b', [unjudged('gear-hold-pause', 'speed was not reported'), check({ outcome: 'not-applicable' })]),
        ),
      ],
    });
    const { lead, subject, tally } = said(facts);
    expect(lead[0]).toBe(
      '2 trucks sent readings; 2 couplings and uncouplings seen on 1 of them. Of 3 checks asked, 2 could be judged (67\u00a0%): 1 met, 1 missed.',
    );
    expect(lead[1]).toBe('1 anomaly to look at, none of them urgent.');
    expect(subject).toBe('gearhold Mon 2 Mar 2026: 1 to look at');
    expect(tally.rows).toEqual([['gear-hold-pause', '1', '1', '1']]);
  });

  it('puts what cannot wait first, the urgent before what is for today, and each anomaly in one place', () => {
    const facts = day({
      episodes: [
        fact(
          episode('a', [
            check({ check: 'one', urgency: 'today', concern: 'yard' }),
            check({ check: 'two', urgency: 'urgent' }),
            missedOf('driver'),
            missedOf('yard'),
            missedOf('shop'),
            missedOf('unclear'),
          ]),
        ),
      ],
    });
    const content = said(facts);
    expect(titles(content)).toEqual(['New and urgent', 'To talk over', 'To mend', 'To look at', 'To sort out']);
    expect(content.sections[0]?.entries.map(({ tags, urgent }) => [tags, urgent])).toEqual([
      [['urgent'], true],
      [['see to it today'], false],
    ]);
    expect(content.sections.flatMap(({ entries }) => entries)).toHaveLength(6);
    expect(content.subject).toMatch(/: 6 to look at, 1 urgent$/);
  });

  it('goes out when nothing was missed, nothing was seen, and nothing came', () => {
    const calm = said(day({ episodes: [fact(episode('a', [check({ outcome: 'met' })]))] }));
    expect([calm.subject, calm.lead[1]]).toEqual([
      'gearhold Mon 2 Mar 2026: nothing to look at',
      'No step was proven missed: nothing to look at.',
    ]);
    const still = said(day());
    expect(still.lead[0]).toBe(
      '1 truck sent readings; no coupling or uncoupling was seen in them. Each would stand here with what the data prove about it; to see one it takes speed, and pressure or axle load.',
    );
    expect(still.tally.rows).toEqual([]);
    const silent = said(day({ trucks: [truck('T-104', { heard: false })] }));
    expect(silent.subject).toBe('gearhold Mon 2 Mar 2026: no readings');
    expect(silent.lead).toEqual([
      'No readings of this day have come, so nothing was seen. See whether the files were sent.',
    ]);
  });

  it('says where the clocks changed', () => {
    const window = { ...day().window, endMs: day().window.startMs + 23 * 3_600_000 };
    expect(said(day({ window })).lead[0]).toContain('The clocks changed: the day had 23 hours.');
  });
});

describe('what arrives late', () => {
  const urgent = check({ urgency: 'urgent' });

  it('of the day itself is marked and alarms nobody', () => {
    const content = said(
      day({ episodes: [fact(episode('a', [urgent]))], arrivedLate: new Set(['a/gear-hold-pause']) }),
    );
    expect(titles(content)).toEqual(['To talk over']);
    expect(content.sections[0]?.entries[0]).toMatchObject({ tags: ['arrived late'], urgent: false });
    expect(content.subject).not.toContain('urgent');
  });

  it('of earlier days stands apart with its date, and what is not proven any more is taken back', () => {
    const old = episode('b', [urgent], { loadTransferTime: '2026-02-27T14:05:00.000Z' });
    const found = { ...fact(old), check: urgent, arrivedLate: true };
    const content = said(day(), {}, { found: [found], takenBack: [{ ...found, arrivedLate: false }] });
    expect(titles(content)).toEqual(['From earlier days', 'Taken back']);
    expect(content.sections[0]?.entries[0]).toMatchObject({
      tags: ['arrived late'],
      urgent: false,
      otherDay: true,
      when: { date: '27 Feb 2026' },
    });
    expect(content.sections[1]?.lines[0]).toEqual({
      head: 'gear-hold-pause, truck T-104',
      text: 'Uncoupling on 27 Feb 2026, 07:05 MST, Three Cairns depot.',
    });
    expect(content.lead[1]).toBe(
      'No step was proven missed: nothing to look at. 1 more from earlier days, 1 taken back.',
    );
  });
});

describe('a recipient', () => {
  const facts = day({
    trucks: [truck('T-104'), truck('T-200', { terminal: 'larch', heard: false })],
    episodes: [
      fact(episode('a', [missedOf('driver'), missedOf('yard')])),
      fact(episode('b', [missedOf('driver'), missedOf('yard')], { siteId: 'larch-works' }), 'larch', 'cairn'),
      fact(episode('c', [missedOf('shop')], { siteId: null }), null),
    ],
  });
  const ids = (content: DigestContent) => content.sections.flatMap(({ entries }) => entries).length;

  it('of all terminals is told of everything, also of what belongs to none', () => {
    expect(ids(said(facts))).toBe(5);
  });

  it('of one terminal is told of its yard and trucks, and of its drivers wherever they were', () => {
    const content = said(facts, { terminals: ['cairn'] });
    expect(section(content, 'To talk over')?.entries.map(({ place }) => place)).toEqual([
      'Three Cairns depot',
      'Larchwater works',
    ]);
    expect(section(content, 'To mend')?.entries.map(({ place }) => place)).toEqual(['Three Cairns depot']);
    expect(titles(content)).not.toContain('Silent trucks');
    expect(content.lead[0]).toMatch(/^1 truck sent readings; 1 coupling or uncoupling seen on it\./);
  });

  it('of some concerns is told of those alone, and of sensors and silent trucks only for the shop', () => {
    expect(titles(said(facts, { concerns: ['driver'] }))).toEqual(['To talk over']);
    expect(titles(said(facts, { concerns: ['shop'] }))).toEqual(['To look at', 'Silent trucks']);
  });

  it('reads drivers by name, by id, or not at all', () => {
    const about = (drivers: Recipient['drivers']) =>
      section(said(facts, { drivers }), 'To talk over')?.entries[0]?.about[2];
    expect([about('names'), about('ids'), about('none')]).toEqual([
      'for the driver: Ines Vauterin',
      'for the driver: D-31',
      'for the driver',
    ]);
  });

  it("reads times in the site's zone, else in his own, else in the fleet's", () => {
    const time = (to: Partial<Recipient>, siteId: string | null) =>
      said(day({ episodes: [fact(episode('a', [check()], { siteId }))] }), to).sections[0]?.entries[0]?.when.time;
    expect(time({ zone: 'America/New_York' }, 'cairn-depot')).toBe('07:05 MST');
    expect(time({ zone: 'America/New_York' }, 'larch-works')).toBe('09:05 EST');
    expect(time({}, null)).toBe('08:05 CST');
  });

  it('reads his own units', () => {
    const speed = check({
      limit: { maxKph: 8 },
      measured: { value: 16.1, low: 16.1, high: 16.1, unit: 'km/h' },
      reasonParts: { text: 'backed at {speed}.', values: { speed: { value: 16.1, unit: 'km/h' } } },
    });
    const entry = said(day({ episodes: [fact(episode('a', [speed]))] }), { units: 'us' }).sections[0]?.entries[0];
    expect([entry?.sentence, entry?.bar?.labels.limit]).toEqual(['Backed at 10.0\u00a0mph.', '5 mph']);
  });

  it('finds a link to each anomaly where the console has an address', () => {
    const options = { consoleUrl: 'https://console.example.org/' };
    const content = digestContent(
      day({ episodes: [fact(episode('a b', [check()]))] }),
      nothingEarlier,
      recipient(),
      options,
    );
    expect(content.sections[0]?.entries[0]?.link).toBe('https://console.example.org/anomalies/a%20b/gear-hold-pause');
  });
});

describe('what is not known', () => {
  const facts = day({
    trucks: [
      truck('T-104'),
      truck('T-152', { steelSprings: true }),
      truck('T-160', { loadReported: false }),
      truck('T-171', { heard: false, lastReadingMs: Date.UTC(2026, 2, 1, 12) }),
      truck('T-172', { heard: false, lastReadingMs: Date.UTC(2026, 1, 27, 12) }),
    ],
    episodes: [
      fact(
        episode('a', [
          unjudged('backing-above-idle', 'neither accelerator nor engine speed was reported'),
          unjudged('gear-hold-pause', 'the readings do not show when the tractor pulled out'),
        ]),
      ),
    ],
  });

  it('is told by check with its reason, and by sensor and truck', () => {
    const content = said(facts);
    expect(titles(content)).toEqual(['Could not be judged', 'Blind sensors', 'Silent trucks']);
    expect(section(content, 'Could not be judged')?.lines).toEqual([
      { head: 'gear-hold-pause, 1 time', text: 'The readings do not show when the tractor pulled out.' },
    ]);
    expect(section(content, 'Blind sensors')?.lines).toEqual([
      {
        head: 'Truck T-160',
        text: 'Neither pressure nor axle load was reported: no coupling or uncoupling can be seen.',
      },
      {
        head: 'Truck T-152',
        text: 'On steel springs by the vehicles file, where pressure proves nothing: only axle load can show a trailer.',
      },
      { head: 'Truck T-104', text: 'Neither accelerator nor engine speed was reported. 1 time: backing-above-idle.' },
    ]);
    expect(section(content, 'Silent trucks')?.lines).toEqual([
      { head: 'Truck T-171', text: 'Last heard on 1 Mar 2026.' },
      { head: 'Truck T-172', text: 'Last heard on 27 Feb 2026.' },
    ]);
  });

  it('keeps the reasons of blind sensors for who is not told of sensors apart', () => {
    expect(section(said(facts, { concerns: ['driver'] }), 'Could not be judged')?.lines).toHaveLength(2);
  });
});

it('shows nothing under a label that the glossary does not explain', () => {
  const checks = (['driver', 'yard', 'shop', 'unclear'] as const).map((concern) => missedOf(concern));
  const one = episode('a', [
    ...checks,
    check({ urgency: 'urgent' }),
    check({ urgency: 'today' }),
    unjudged('x', 'speed was not reported'),
    unjudged('y', 'it is not sure'),
  ]);
  const earlier = { ...fact(one), check: check(), arrivedLate: true };
  const facts = day({ episodes: [fact(one)], trucks: [truck('T-104'), truck('T-1', { heard: false })] });
  const content = said(facts, {}, { found: [earlier], takenBack: [earlier] });
  expect(titles(content)).toHaveLength(10);
  const tags = content.sections.flatMap(({ entries }) => entries.flatMap((entry) => entry.tags));
  const labels = new Set([...titles(content), ...tags, ...content.tally.head]);
  expect([...labels].filter((label) => termOf(label) === null)).toEqual([]);
});
