/** A real SMTP server for the tests, which can be told to misbehave at each step. It keeps what it took. */
import { once } from 'node:events';
import { type AddressInfo, connect as openSocket } from 'node:net';
import { type ParsedMail, simpleParser } from 'mailparser';
import { SMTPServer, type SMTPServerOptions } from 'smtp-server';
import type { SmtpPlace } from '../smtp.ts';
import { certificate, key } from './certificate.ts';

export interface Misbehaviour {
  /** At RCPT TO: a text is refused with 550, `vanish` ends the connection. */
  recipient?(address: string): string | 'vanish' | null;
  /** After the whole content: a number is the answer's code, `vanish` ends the connection without one, `hang` never answers. */
  content?(address: string): number | 'vanish' | 'hang' | null;
  /** Called when the whole content of a mail has come, before any answer. */
  arrived?(address: string): void;
}

export class MailServer {
  /** Mails whose content came whole, answered or not, by recipient. */
  readonly received: { readonly to: string; readonly mail: ParsedMail }[] = [];
  /** What was logged in with. */
  readonly logins: string[] = [];
  readonly port: number;
  readonly #server: SMTPServer;

  private constructor(server: SMTPServer, port: number) {
    this.#server = server;
    this.port = port;
  }

  static async start(
    tls: SmtpPlace['tls'],
    misbehaviour: Misbehaviour = {},
    options: SMTPServerOptions = {},
  ): Promise<MailServer> {
    let running: MailServer | undefined;
    const server = new SMTPServer({
      secure: tls === 'implicit',
      key,
      cert: certificate,
      disabledCommands: tls === 'starttls' ? [] : ['STARTTLS'],
      authOptional: true,
      disableReverseLookup: true,
      closeTimeout: 100,
      ...options,
      onAuth: ({ username, password }, session, done) => {
        running!.logins.push(`${username}${session.secure ? '' : ' in the clear'}`);
        if (password === 'right') done(null, { user: username });
        else done(new Error(`no such password: ${password}`));
      },
      onRcptTo: ({ address }, session, done) => {
        const wrong = misbehaviour.recipient?.(address) ?? null;
        if (wrong === 'vanish') running!.#vanish(session.id);
        else done(wrong === null ? undefined : Object.assign(new Error(wrong), { responseCode: 550 }));
      },
      onData: (stream, session, done) => {
        const to = session.envelope.rcptTo[0]!.address;
        const take = (mail: ParsedMail) => {
          running!.received.push({ to, mail });
          misbehaviour.arrived?.(to);
          const wrong = misbehaviour.content?.(to) ?? null;
          if (wrong === 'hang') return;
          if (wrong === 'vanish') running!.#vanish(session.id);
          else done(wrong === null ? undefined : Object.assign(new Error('not now'), { responseCode: wrong }));
        };
        // A mail whose connection broke within its content is none.
        simpleParser(stream).then(take, () => undefined);
      },
    });
    // What a broken connection makes the server say is the test's own doing.
    server.on('error', () => undefined);
    server.listen(0, '127.0.0.1');
    await once(server.server, 'listening');
    running = new MailServer(server, (server.server.address() as AddressInfo).port);
    return running;
  }

  place(change: Partial<SmtpPlace> = {}): SmtpPlace {
    return { host: 'localhost', port: this.port, tls: 'implicit', login: null, authorities: certificate, ...change };
  }

  stop(): Promise<void> {
    return new Promise((done) => this.#server.close(done));
  }

  /** Ends a connection without a word. */
  #vanish(id: string): void {
    for (const connection of this.#server.connections) {
      if ((connection as unknown as { id: string }).id === id) connection._socket.destroy();
    }
  }
}

/** A port on which nobody listens. */
export async function deadPort(): Promise<number> {
  const server = await MailServer.start('none');
  await server.stop();
  const socket = openSocket(server.port, '127.0.0.1');
  await once(socket, 'error');
  return server.port;
}
