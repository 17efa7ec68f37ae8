/**
 * A mail server as courier, over SMTP with TLS. The one question that matters is whether the server may have taken the mail: before its
 * content is asked for it surely has not; an answer decides it; a connection that ends in between leaves it unknown.
 *
 * Answers of the server go into sentences for people; user name and password never do, whatever the server echoes.
 */
import { Readable } from 'node:stream';
import { printable } from '@gearhold/look';
import SMTPConnection from 'nodemailer/lib/smtp-connection';
import type { Courier, Delivery } from './courier.ts';
import type { Mail } from './message.ts';

export interface SmtpPlace {
  readonly host: string;
  readonly port: number;
  /** `implicit`: from the first byte; `starttls`: asked for, and insisted on; `none`: for a server on this machine. */
  readonly tls: 'implicit' | 'starttls' | 'none';
  readonly login: { readonly user: string; readonly password: string } | null;
  /** Certificate authorities to trust besides the system's, PEM; null: the system's alone. */
  readonly authorities: string | null;
  /** How long a server may keep silent before it counts as gone, ms. Defaults to two minutes. */
  readonly silenceMs?: number;
}

interface SmtpError extends Error {
  readonly code?: string;
  readonly responseCode?: number;
  readonly response?: string | false;
}

const silenceMs = 120_000;
const longestAnswer = 200;

/** Thrown into the content where another attempt has begun since. */
class Overtaken extends Error {}

export function smtpCourier(place: SmtpPlace): Courier {
  return { deliver: (mail, handOver) => deliver(place, mail, handOver) };
}

async function deliver(place: SmtpPlace, mail: Mail, handOver: () => Promise<boolean>): Promise<Delivery> {
  const connection = connectionTo(place);
  let handed = false;
  // Read only once the server has asked for the content.
  async function* content(): AsyncGenerator<Uint8Array> {
    if (!(await handOver())) throw new Overtaken();
    handed = true;
    yield mail.raw;
  }
  let answered = false;
  try {
    await opened(connection);
    answered = true;
    if (place.login !== null) await loggedIn(connection, place.login);
    await sent(connection, mail, Readable.from(content(), { objectMode: false }));
    connection.quit();
    return { state: 'sent', path: null };
  } catch (error) {
    connection.close();
    return failed(error as SmtpError, place, handed, answered);
  }
}

function connectionTo({ host, port, tls, authorities, ...place }: SmtpPlace): SMTPConnection {
  const silent = place.silenceMs ?? silenceMs;
  const connection = new SMTPConnection({
    host,
    port,
    secure: tls === 'implicit',
    requireTLS: tls === 'starttls',
    ignoreTLS: tls === 'none',
    connectionTimeout: Math.min(30_000, silent),
    greetingTimeout: Math.min(30_000, silent),
    socketTimeout: silent,
    tls: { minVersion: 'TLSv1.2', ...(authorities === null ? {} : { ca: authorities }) },
  });
  return connection;
}

function opened(connection: SMTPConnection): Promise<void> {
  return new Promise((done, fail) => {
    connection.on('error', fail);
    // A server that ends the connection at a wrong moment says no more than that.
    connection.once('end', () => fail(Object.assign(new Error('the connection ended'), { code: 'ECONNECTION' })));
    connection.connect((error) => (error ? fail(error) : done()));
  });
}

function loggedIn(connection: SMTPConnection, login: NonNullable<SmtpPlace['login']>): Promise<void> {
  return new Promise((done, fail) => {
    connection.once('error', fail);
    connection.login({ user: login.user, pass: login.password }, (error) => (error ? fail(error) : done()));
  });
}

function sent(connection: SMTPConnection, mail: Mail, content: Readable): Promise<void> {
  return new Promise((done, fail) => {
    connection.once('error', fail);
    connection.once('end', () => fail(Object.assign(new Error('the connection ended'), { code: 'ECONNECTION' })));
    content.once('error', fail);
    connection.send({ from: mail.from, to: [mail.to], size: mail.raw.length }, content, (error) =>
      error ? fail(error) : done(),
    );
  });
}

function failed(error: SmtpError, place: SmtpPlace, handed: boolean, answered: boolean): Delivery {
  if (error instanceof Overtaken) return { state: 'overtaken' };
  const server = `the mail server ${place.host}:${place.port}`;
  const why = masked(error.message, place);
  if (error.code === 'ETLS') {
    return { state: 'refused', problem: `no secure connection to ${server}: ${why}`, reached: false };
  }
  const answer = masked(typeof error.response === 'string' ? error.response : '', place);
  // A whole answer of the server, whatever it is about, is a no.
  if (error.responseCode !== undefined && error.responseCode >= 400) {
    const what = error.code === 'EAUTH' ? 'did not accept the user name and password' : 'refused the mail';
    return { state: 'refused', problem: `${server} ${what}: ${answer}`, reached: error.code !== 'EAUTH' };
  }
  if (handed) {
    const how = error.code === 'ETIMEDOUT' ? 'did not answer in time' : 'went away before it answered';
    return { state: 'unknown', problem: `${server} was given the mail and ${how}` };
  }
  const problem = answered
    ? `${server} went away before it took the mail: ${why}`
    : `${server} cannot be reached: ${why}`;
  return { state: 'refused', problem, reached: answered };
}

/** Words of a server or library, on one line, without what nobody is to read. */
function masked(text: string, { login }: SmtpPlace): string {
  let words = text.replaceAll(/\s+/g, ' ').trim();
  if (login !== null) {
    const { user, password } = login;
    const base64 = (plain: string) => Buffer.from(plain).toString('base64');
    const secrets = [`\0${user}\0${password}`, password, user].flatMap((plain) => [base64(plain), plain]);
    for (const secret of secrets) words = words.replaceAll(secret, '***');
  }
  return printable(words, longestAnswer);
}
