/** Mails of urgent anomalies from store to a real mail server: at most one each, whatever happens, and none that alarms for nothing. */
import { dutyMailsOf, type Engine, handOverDutyMail, intendDutyMail } from '@gearhold/store';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Courier } from '../digest/courier.ts';
import { check, episode } from '../digest/testing/day.ts';
import { MailServer, type Misbehaviour } from '../digest/testing/mail-server.ts';
import { emptyStore, forgetAll, putEpisodes, putReading } from '../digest/testing/stored-day.ts';
import { type DutyPlace, dutyPlace } from './place.ts';
import { sendDutyMails } from './send.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;
const lostMs = Date.parse('2026-03-02T14:05:00Z');
const nowMs = lostMs + minuteMs;
const lost = check({ check: 'load-lost-under-way', urgency: 'urgent', concern: 'unclear' });
const wire = episode('e1', [lost], { kind: 'load-loss', position: { latitude: 41.1, longitude: -95.9 } });
const id = 'e1/load-lost-under-way';

let store: Engine;
let server: MailServer | undefined;
beforeAll(async () => {
  store = await emptyStore(nowMs);
}, 120_000);
afterAll(() => store.close());
beforeEach(begin);
afterEach(() => server?.stop());

async function begin(): Promise<void> {
  await forgetAll(store);
  await putReading(store, 'T-104', lostMs);
}

async function placeOf(misbehaviour: Misbehaviour = {}): Promise<DutyPlace> {
  server = await MailServer.start('none', misbehaviour);
  return dutyPlace({
    GEARHOLD_DUTY_ADDRESS: 'duty@carrier.example',
    GEARHOLD_DUTY_CALL: 'Dispatch, extension 12',
    GEARHOLD_SMTP_HOST: 'localhost',
    GEARHOLD_SMTP_PORT: String(server.port),
    GEARHOLD_SMTP_TLS: 'none',
    GEARHOLD_MAIL_FROM: 'gearhold@carrier.example',
  })!;
}

const send = (place: DutyPlace, atMs = nowMs) =>
  sendDutyMails(store, { place, zone: 'America/Chicago', now: () => atMs });
const stateOf = async () => (await dutyMailsOf(store, [id]))[0]?.state;
const put = (found = [wire], change = {}) => putEpisodes(store, 'T-104', found, nowMs, change);

describe('an urgent anomaly', () => {
  it('is mailed once, saying whom to call, what, where and when, with its evidence and the cautions', async () => {
    const place = await placeOf();
    await put();
    expect(await send(place)).toEqual([{ anomalyId: id, state: 'sent', problem: null }]);
    expect(await send(place, nowMs + hourMs)).toEqual([]);
    expect(server!.received.map(({ to }) => to)).toEqual(['duty@carrier.example']);
    const { mail } = server!.received[0]!;
    expect(mail.subject).toMatch(/^gearhold urgent: truck T-104, load-lost-under-way, 08:05 CST$/);
    for (const body of [mail.text!.replaceAll(/\s+/g, ' '), (mail.html as string).replaceAll('&nbsp;', ' ')]) {
      expect(body).toContain('Call: Dispatch, extension 12');
      expect(body).toContain('2 Mar 2026, 08:05 CST (14:05 UTC)');
      expect(body).toContain('41.10000, -95.90000');
      expect(body).toContain('at least 30 s is asked');
      expect(body).toContain('No verdict here clears a vehicle to move.');
    }
  });

  it.each([
    ['that arrived late', () => put([wire], { arrivedLate: true })],
    ['that can wait', () => put([{ ...wire, checks: [check({ ...lost, urgency: 'today' })] }])],
    ['that is withdrawn', () => put().then(() => put([]))],
    ['that somebody dismissed', () => put().then(() => store.query(`update anomaly set case_state = 'dismissed'`))],
  ])('%s is not mailed', async (_, arrange) => {
    const place = await placeOf();
    await arrange();
    expect(await send(place)).toEqual([]);
    expect(server!.received).toEqual([]);
  });

  it('that is a day old is news no more', async () => {
    const place = await placeOf();
    await put();
    expect(await send(place, lostMs + 24 * hourMs + 1)).toEqual([]);
  });
});

describe('a mail', () => {
  it('that was refused is tried again after a minute', async () => {
    let refuses = true;
    const place = await placeOf({ recipient: () => (refuses ? 'not now' : null) });
    await put();
    expect(await send(place)).toMatchObject([{ state: 'refused' }]);
    refuses = false;
    expect(await send(place, nowMs + minuteMs - 1)).toEqual([]);
    expect(await send(place, nowMs + minuteMs)).toMatchObject([{ state: 'sent' }]);
    expect(server!.received.length).toBe(1);
  });

  it('of which nobody knows whether it arrived is not sent again', async () => {
    const place = await placeOf({ content: () => 'vanish' });
    await put();
    expect(await send(place)).toMatchObject([{ state: 'unknown' }]);
    expect(await send(place, nowMs + hourMs)).toEqual([]);
    expect(server!.received.length).toBe(1);
  });

  it('goes out after a kill before it was handed over, and not after one behind it', async () => {
    const place = await placeOf();
    await put();
    const mail = { anomalyId: id, recipient: place.address, messageId: '<a@b>' };
    const first = (await intendDutyMail(store, mail, nowMs))!;
    expect(await send(place)).toMatchObject([{ state: 'sent' }]);
    expect(await handOverDutyMail(store, first, nowMs)).toBe(false);

    await begin();
    await put();
    const killed: Courier = {
      async deliver(_, handOver) {
        await handOver();
        throw new Error('killed');
      },
    };
    await expect(send({ ...place, mail: { ...place.mail, courier: killed } })).rejects.toThrow('killed');
    expect(await stateOf()).toBe('unknown');
    expect(await send(place)).toEqual([]);
    expect(server!.received.length).toBe(1);
  });

  it('does not leave where the anomaly was withdrawn while it was written', async () => {
    const place = await placeOf();
    await put();
    const withdrawing: Courier = {
      async deliver(mail, handOver) {
        await put([]);
        return place.mail.courier.deliver(mail, handOver);
      },
    };
    expect(await send({ ...place, mail: { ...place.mail, courier: withdrawing } })).toEqual([]);
    expect(server!.received).toEqual([]);
  });
});

it('asks whom to call where an address is given', () => {
  expect(() => dutyPlace({ GEARHOLD_DUTY_ADDRESS: 'duty@carrier.example' })).toThrow(
    /GEARHOLD_DUTY_CALL: expected whom/,
  );
  expect(() => dutyPlace({ GEARHOLD_DUTY_ADDRESS: 'duty' })).toThrow(/expected a mail address/);
  expect(dutyPlace({})).toBeNull();
});
