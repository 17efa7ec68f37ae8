import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Failure } from '@gearhold/shared';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { mailPlace } from './place.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'mail-place-'));
  writeFileSync(join(folder, 'password'), 'from a file\n');
});
afterAll(() => rmSync(folder, { recursive: true }));

const server = { GEARHOLD_SMTP_HOST: 'mail.example.org', GEARHOLD_MAIL_FROM: 'gearhold@example.org' };

it('is a folder where no mail server is named', () => {
  expect(mailPlace({})).toMatchObject({
    where: './gearhold-mail',
    written: true,
    from: 'gearhold@localhost',
    consoleUrl: null,
  });
  expect(mailPlace({ GEARHOLD_MAIL_FOLDER: '/var/mail-out', GEARHOLD_SMTP_HOST: '' })).toMatchObject({
    where: '/var/mail-out',
    written: true,
  });
});

it('is a mail server by TLS, on the port that its kind of TLS has', () => {
  expect(mailPlace(server)).toMatchObject({ where: 'mail.example.org:465', written: false });
  expect(mailPlace({ ...server, GEARHOLD_SMTP_TLS: 'starttls' }).where).toBe('mail.example.org:587');
  expect(mailPlace({ ...server, GEARHOLD_SMTP_PORT: '2525' }).where).toBe('mail.example.org:2525');
  const local = { ...server, GEARHOLD_SMTP_HOST: '127.0.0.1', GEARHOLD_SMTP_TLS: 'none' };
  expect(mailPlace(local).where).toBe('127.0.0.1:25');
});

it('takes a password from a file', () => {
  const login = { GEARHOLD_SMTP_USER: 'u', GEARHOLD_SMTP_PASSWORD_FILE: join(folder, 'password') };
  expect(mailPlace({ ...server, ...login }).where).toBe('mail.example.org:465');
});

it.each([
  [{ GEARHOLD_SMTP_PORT: '99999' }, /GEARHOLD_SMTP_PORT: expected /],
  [{ GEARHOLD_SMTP_PORT: 'smtp' }, /GEARHOLD_SMTP_PORT: expected a port, 1 to 65535\./],
  [{ GEARHOLD_SMTP_TLS: 'maybe' }, /GEARHOLD_SMTP_TLS: expected one of "implicit"\|"starttls"\|"none"\./],
  [{ GEARHOLD_SMTP_TLS: 'none' }, /GEARHOLD_SMTP_TLS: none is for a mail server on this machine/],
  [{ GEARHOLD_MAIL_FROM: '' }, /GEARHOLD_MAIL_FROM: expected the address that mails come from/],
  [{ GEARHOLD_MAIL_FROM: 'nobody' }, /GEARHOLD_MAIL_FROM: expected a mail address/],
  [{ GEARHOLD_SMTP_USER: 'u' }, /GEARHOLD_SMTP_PASSWORD: expected a password, since there is a user name\./],
  [{ GEARHOLD_SMTP_PASSWORD: 'hush-hush' }, /GEARHOLD_SMTP_USER: expected a user name/],
  [{ GEARHOLD_SMTP_USER: 'u', GEARHOLD_SMTP_PASSWORD: 'hush-hush', GEARHOLD_SMTP_PASSWORD_FILE: 'x' }, /not both/],
  [
    { GEARHOLD_SMTP_USER: 'u', GEARHOLD_SMTP_PASSWORD_FILE: 'nowhere' },
    /PASSWORD_FILE: the file it names cannot be read: there is no such/,
  ],
  [{ GEARHOLD_SMTP_CA: 'nowhere' }, /GEARHOLD_SMTP_CA: the file it names cannot be read/],
  [{ GEARHOLD_CONSOLE_URL: 'console' }, /GEARHOLD_CONSOLE_URL: expected an address that begins with https?:/],
])('a mistake is one sentence that repeats no secret: %j', (change, sentence) => {
  let thrown: unknown;
  try {
    mailPlace({ ...server, ...change });
  } catch (error) {
    thrown = error;
  }
  expect(thrown).toBeInstanceOf(Failure);
  expect((thrown as Failure).message).toMatch(sentence);
  expect((thrown as Failure).message).not.toContain('hush-hush');
  expect((thrown as Failure).message.split('\n')).toHaveLength(1);
});
