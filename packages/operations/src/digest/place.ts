/** Where digests go, from the environment: a mail server, or a folder. */
import { readFileSync } from 'node:fs';
import { isIP } from 'node:net';
import { exitStatus, Failure, fileReason } from '@gearhold/shared';
import { type Environment, readConfiguration } from '@gearhold/shared/service';
import { z } from 'zod';
import { type Courier, folderCourier } from './courier.ts';
import { type SmtpPlace, smtpCourier } from './smtp.ts';

export interface MailPlace {
  readonly courier: Courier;
  /** Address in the From field. */
  readonly from: string;
  /** The folder, or `host:port` of the server. */
  readonly where: string;
  readonly written: boolean;
  /** For links into the console; null where it has no address. */
  readonly consoleUrl: string | null;
}

const defaultFolder = './gearhold-mail';
const defaultPorts = { implicit: 465, starttls: 587, none: 25 } as const;

const schema = z.object({
  GEARHOLD_SMTP_HOST: z.string().optional(),
  GEARHOLD_SMTP_PORT: z.coerce.number('expected a port, 1 to 65535').int().min(1).max(65535).optional(),
  GEARHOLD_SMTP_TLS: z.enum(['implicit', 'starttls', 'none']).default('implicit'),
  GEARHOLD_SMTP_USER: z.string().optional(),
  GEARHOLD_SMTP_PASSWORD: z.string().optional(),
  GEARHOLD_SMTP_PASSWORD_FILE: z.string().optional(),
  GEARHOLD_SMTP_CA: z.string().optional(),
  GEARHOLD_MAIL_FROM: z.email('expected a mail address, such as gearhold@example.org').optional(),
  GEARHOLD_MAIL_FOLDER: z.string().default(defaultFolder),
  GEARHOLD_CONSOLE_URL: z
    .url({ protocol: /^https?$/, error: 'expected an address that begins with http:// or https://' })
    .optional(),
});

type Settings = z.output<typeof schema>;

/** @throws Failure of status 2 with a sentence a mistake; none of them holds a value that may be a secret */
export function mailPlace(environment: Environment): MailPlace {
  const settings = readConfiguration(schema, environment);
  const consoleUrl = settings.GEARHOLD_CONSOLE_URL ?? null;
  const { GEARHOLD_SMTP_HOST: host, GEARHOLD_MAIL_FOLDER: folder } = settings;
  if (host === undefined) {
    const from = settings.GEARHOLD_MAIL_FROM ?? 'gearhold@localhost';
    return { courier: folderCourier(folder), from, where: folder, written: true, consoleUrl };
  }
  const from = settings.GEARHOLD_MAIL_FROM;
  if (from === undefined) {
    throw mistake('GEARHOLD_MAIL_FROM', 'expected the address that mails come from, since GEARHOLD_SMTP_HOST is set');
  }
  const place = smtpPlace(host, settings);
  return { courier: smtpCourier(place), from, where: `${host}:${place.port}`, written: false, consoleUrl };
}

function smtpPlace(host: string, settings: Settings): SmtpPlace {
  const tls = settings.GEARHOLD_SMTP_TLS;
  if (tls === 'none' && !isThisMachine(host)) {
    throw mistake('GEARHOLD_SMTP_TLS', 'none is for a mail server on this machine; expected implicit or starttls');
  }
  const ca = settings.GEARHOLD_SMTP_CA;
  return {
    host,
    port: settings.GEARHOLD_SMTP_PORT ?? defaultPorts[tls],
    tls,
    login: loginOf(settings),
    authorities: ca === undefined ? null : fileText(ca, 'GEARHOLD_SMTP_CA'),
  };
}

function loginOf(settings: Settings): SmtpPlace['login'] {
  const { GEARHOLD_SMTP_USER: user, GEARHOLD_SMTP_PASSWORD: given, GEARHOLD_SMTP_PASSWORD_FILE: file } = settings;
  if (given !== undefined && file !== undefined) {
    throw mistake('GEARHOLD_SMTP_PASSWORD_FILE', 'expected either this or GEARHOLD_SMTP_PASSWORD, not both');
  }
  const password = file === undefined ? given : fileText(file, 'GEARHOLD_SMTP_PASSWORD_FILE').replace(/\r?\n$/, '');
  if (user === undefined && password === undefined) return null;
  if (user === undefined) throw mistake('GEARHOLD_SMTP_USER', 'expected a user name, since there is a password');
  if (password === undefined)
    throw mistake('GEARHOLD_SMTP_PASSWORD', 'expected a password, since there is a user name');
  return { user, password };
}

function fileText(path: string, variable: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw mistake(variable, `the file it names cannot be read: ${fileReason(error)}`);
  }
}

function isThisMachine(host: string): boolean {
  return host === 'localhost' || host === '::1' || (isIP(host) === 4 && host.startsWith('127.'));
}

function mistake(variable: string, sentence: string): Failure {
  return new Failure(exitStatus.usage, `the environment variable ${variable}: ${sentence}.`);
}
