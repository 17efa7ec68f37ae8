/** Mails of a day: at most one leaves, whoever begins, and nothing is sent again that may have arrived. */
import { BatchBuilder, signalIndex } from '@gearhold/signals';
import {
  digestBefore,
  digestsNotSent,
  digestsOf,
  handOverDigest,
  intendDigest,
  settleDigest,
  storeReadings,
  vehiclesHeard,
} from '@gearhold/store';
import { expect, it } from 'vitest';
import { nowMs, onEveryEngine } from './engines.ts';

onEveryEngine('mails of a day', (store) => {
  let days = 0;
  /** A day and recipient that no other test has. */
  const fresh = (day = `2026-01-${String(++days).padStart(2, '0')}`) => {
    const recipient = `r${days}@example.org`;
    return { day, recipient, messageId: `<${day}.${recipient}>` };
  };
  const state = async (mail: { day: string; recipient: string }) =>
    (await digestsOf(store(), mail.day)).find(({ recipient }) => recipient === mail.recipient);

  it('is intended, handed over and sent once', async () => {
    const mail = fresh();
    const attempt = await intendDigest(store(), mail, nowMs);
    expect(attempt).toEqual({ day: mail.day, recipient: mail.recipient, attempt: 1 });
    expect(await state(mail)).toMatchObject({ state: 'intended', attempts: 1, intendedMs: nowMs, problem: null });
    expect(await handOverDigest(store(), attempt!, nowMs + 1)).toBe(true);
    expect(await state(mail)).toMatchObject({ state: 'unknown', changedMs: nowMs + 1 });
    await settleDigest(store(), attempt!, 'sent', null, nowMs + 2);
    expect(await state(mail)).toMatchObject({ state: 'sent', problem: null, changedMs: nowMs + 2 });
    expect(await intendDigest(store(), mail, nowMs + 3)).toBeNull();
    expect(await handOverDigest(store(), attempt!, nowMs + 3)).toBe(false);
  });

  it('begins again where nothing was handed over, and then only for the last who began', async () => {
    const mail = fresh();
    const first = await intendDigest(store(), mail, nowMs);
    const second = await intendDigest(store(), mail, nowMs + 10);
    expect(second?.attempt).toBe(2);
    expect(await state(mail)).toMatchObject({ intendedMs: nowMs + 10 });
    expect(await handOverDigest(store(), first!, nowMs + 11)).toBe(false);
    expect(await handOverDigest(store(), second!, nowMs + 11)).toBe(true);
    await settleDigest(store(), first!, 'refused', 'late word of the first', nowMs + 12);
    expect(await state(mail)).toMatchObject({ state: 'unknown' });
  });

  it('is not sent again while its fate is unknown, unless somebody asks for it', async () => {
    const mail = fresh();
    await handOverDigest(store(), (await intendDigest(store(), mail, nowMs))!, nowMs);
    expect(await intendDigest(store(), mail, nowMs + 1)).toBeNull();
    expect((await digestsNotSent(store())).map(({ recipient }) => recipient)).toContain(mail.recipient);
    expect((await intendDigest(store(), mail, nowMs + 2, ['unknown']))?.attempt).toBe(2);
  });

  it('is sent again where it was refused', async () => {
    const mail = fresh();
    const attempt = await intendDigest(store(), mail, nowMs);
    await settleDigest(store(), attempt!, 'refused', '550 no such mailbox', nowMs);
    expect(await state(mail)).toMatchObject({ state: 'refused', problem: '550 no such mailbox' });
    expect((await intendDigest(store(), mail, nowMs + 1))?.attempt).toBe(2);
  });

  it('of several that begin at once at most one hands over', async () => {
    const mail = fresh();
    const attempts = await Promise.all([1, 2, 3, 4].map((later) => intendDigest(store(), mail, nowMs + later)));
    const handed = await Promise.all(attempts.map((attempt) => attempt && handOverDigest(store(), attempt, nowMs + 9)));
    expect(handed.filter(Boolean)).toHaveLength(1);
  });

  it('knows the last mail before a day that reached somebody, or may have', async () => {
    const recipient = 'before@example.org';
    for (const [day, fate] of [
      ['2026-02-01', 'sent'],
      ['2026-02-02', 'unknown'],
      ['2026-02-03', 'refused'],
    ] as const) {
      const attempt = await intendDigest(store(), { day, recipient, messageId: `<${day}@before>` }, nowMs);
      await settleDigest(store(), attempt!, fate, null, nowMs);
    }
    expect((await digestBefore(store(), '2026-02-04', recipient))?.day).toBe('2026-02-02');
    expect((await digestBefore(store(), '2026-02-02', recipient))?.day).toBe('2026-02-01');
    expect(await digestBefore(store(), '2026-02-01', recipient)).toBeNull();
  });

  it('finds who was heard in a span, with what, and who only before it', async () => {
    const [fromMs, untilMs, hourMs] = [nowMs, nowMs + 86_400_000, 3_600_000];
    const builder = new BatchBuilder(0);
    const put = (vehicleId: string, timeMs: number, pressure: number) => {
      builder.begin();
      builder.values[builder.offset + signalIndex.suspensionKpa] = pressure;
      builder.add(vehicleId, null, timeMs);
    };
    put('H-1', fromMs, 60);
    put('H-2', untilMs - 1, Number.NaN);
    put('H-3', fromMs - hourMs, 60);
    put('H-3', untilMs, 60);
    put('H-4', fromMs - 9 * hourMs, 60);
    put('H-5', untilMs + hourMs, 60);
    await storeReadings(store(), builder.take());
    const found = await vehiclesHeard(store(), { fromMs, untilMs, sinceMs: fromMs - 5 * hourMs });
    expect(found).toEqual([
      { vehicleId: 'H-1', heard: true, loadReported: true, lastReadingMs: fromMs },
      { vehicleId: 'H-2', heard: true, loadReported: false, lastReadingMs: untilMs - 1 },
      { vehicleId: 'H-3', heard: false, loadReported: false, lastReadingMs: fromMs - hourMs },
    ]);
  });
});
