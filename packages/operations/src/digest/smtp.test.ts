/** Sending to a real server: what counts as sent, refused and unknown, by TLS and with a login, without a secret in any sentence. */
import { afterEach, describe, expect, it } from 'vitest';
import { digestContent } from './content.ts';
import type { Delivery } from './courier.ts';
import { composeMail } from './message.ts';
import { type SmtpPlace, smtpCourier } from './smtp.ts';
import { check, day, episode, fact, nothingEarlier, recipient } from './testing/day.ts';
import { deadPort, MailServer, type Misbehaviour } from './testing/mail-server.ts';

let server: MailServer | undefined;
afterEach(() => server?.stop());

const to = 'safety@example.org';

async function mail() {
  const facts = day({ episodes: [fact(episode('a', [check()]))] });
  const content = digestContent(facts, nothingEarlier, recipient(), { consoleUrl: null });
  return composeMail({ from: 'gearhold@carrier.example', to, occasion: '2026-03-02' }, content, Date.UTC(2026, 2, 3));
}

/** Sends one mail; `handed` is how often the mail was about to leave. */
async function send(place: SmtpPlace, mayLeave = true): Promise<{ delivery: Delivery; handed: number }> {
  let handed = 0;
  const delivery = await smtpCourier(place).deliver(await mail(), async () => {
    handed += 1;
    return mayLeave;
  });
  return { delivery, handed };
}

async function sendTo(misbehaviour: Misbehaviour, change: Partial<SmtpPlace> = {}) {
  server = await MailServer.start('implicit', misbehaviour);
  return send(server.place(change));
}

const problemOf = (delivery: Delivery) => ('problem' in delivery ? delivery.problem : null);

describe('a mail', () => {
  it.each(['implicit', 'starttls', 'none'] as const)('arrives whole (%s)', async (tls) => {
    server = await MailServer.start(tls);
    expect(await send(server.place({ tls }))).toEqual({ delivery: { state: 'sent', path: null }, handed: 1 });
    expect(server.received.map((one) => [one.to, one.mail.subject])).toEqual([
      [to, 'gearhold Mon 2 Mar 2026: 1 to look at'],
    ]);
    expect(server.received[0]?.mail.text).toContain('The trailer was left after a pause of 0 s; 30 s is asked.');
  });

  it('is sent under a login', async () => {
    const { delivery } = await sendTo({}, { login: { user: 'gearhold', password: 'right' } });
    expect(delivery.state).toBe('sent');
    expect(server?.logins).toEqual(['gearhold']);
  });

  it('never leaves where somebody else is sending it', async () => {
    server = await MailServer.start('implicit');
    expect(await send(server.place(), false)).toEqual({ delivery: { state: 'overtaken' }, handed: 1 });
    expect(server.received).toEqual([]);
  });
});

describe('a mail is refused, and the recipient has none of it,', () => {
  it('where the server refuses the recipient', async () => {
    const { delivery, handed } = await sendTo({ recipient: () => 'no such mailbox' });
    expect(delivery).toEqual({
      state: 'refused',
      problem: `the mail server localhost:${server?.port} refused the mail: 550 no such mailbox`,
      reached: true,
    });
    expect(handed).toBe(0);
  });

  it.each([451, 552])('where the server answers the content with %i', async (code) => {
    const { delivery, handed } = await sendTo({ content: () => code });
    expect(delivery).toMatchObject({ state: 'refused', reached: true });
    expect(problemOf(delivery)).toContain(`: ${code} not now`);
    expect(handed).toBe(1);
  });

  it('where the connection ends before the content is asked for', async () => {
    const { delivery, handed } = await sendTo({ recipient: () => 'vanish' });
    expect(delivery).toMatchObject({ state: 'refused', reached: true });
    expect(problemOf(delivery)).toMatch(/went away before it took the mail/);
    expect(handed).toBe(0);
  });

  it('where nobody listens', async () => {
    const { delivery } = await send({
      host: 'localhost',
      port: await deadPort(),
      tls: 'implicit',
      login: null,
      authorities: null,
    });
    expect(delivery).toMatchObject({ state: 'refused', reached: false });
    expect(problemOf(delivery)).toMatch(/^the mail server localhost:\d+ cannot be reached: .*ECONNREFUSED/);
  });

  it('where the certificate is not one to trust', async () => {
    const { delivery, handed } = await sendTo({}, { authorities: null });
    expect(delivery).toMatchObject({ state: 'refused', reached: false });
    expect(problemOf(delivery)).toMatch(/self-signed certificate/);
    expect([handed, server?.received]).toEqual([0, []]);
  });

  it('where the server has no TLS and TLS is asked for', async () => {
    server = await MailServer.start('none');
    const { delivery, handed } = await send(server.place({ tls: 'starttls' }));
    expect(delivery).toMatchObject({ state: 'refused', reached: false });
    expect([handed, server.received]).toEqual([0, []]);
  });

  it('where the login is wrong, which no sentence repeats', async () => {
    const { delivery } = await sendTo({}, { login: { user: 'gear-user', password: 'wrong-secret' } });
    expect(delivery).toMatchObject({ state: 'refused', reached: false });
    expect(problemOf(delivery)).toMatch(/did not accept the user name and password/);
    expect(problemOf(delivery)).toContain('no such password: ***');
    expect(problemOf(delivery)).not.toMatch(/wrong-secret|gear-user/);
  });
});

describe('nobody knows whether a mail arrived', () => {
  it('where the connection ends between its content and the answer', async () => {
    const { delivery, handed } = await sendTo({ content: () => 'vanish' });
    expect(delivery).toEqual({
      state: 'unknown',
      problem: `the mail server localhost:${server?.port} was given the mail and went away before it answered`,
    });
    expect([handed, server?.received.length]).toEqual([1, 1]);
  });

  it('where the server never answers the content', async () => {
    const { delivery } = await sendTo({ content: () => 'hang' }, { silenceMs: 500 });
    expect(delivery).toMatchObject({ state: 'unknown' });
    expect(problemOf(delivery)).toMatch(/did not answer in time/);
  });
});
