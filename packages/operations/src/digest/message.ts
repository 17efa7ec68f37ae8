/**
 * A digest as a mail: RFC 5322 headers, text and HTML beside each other. The Message-ID depends on sender, recipient and occasion alone, so
 * a mail that is sent again is the same mail to every program that files it.
 */
import { createHash } from 'node:crypto';
import MailComposer from 'nodemailer/lib/mail-composer';
import { type DigestContent, mastheads } from './content.ts';
import { digestHtml } from './html.ts';
import { digestText } from './text.ts';

export interface Mail {
  readonly from: string;
  readonly to: string;
  readonly messageId: string;
  /** What it is sent for, fit for a file name: of a digest the day, `2026-03-02`. */
  readonly occasion: string;
  /** As it goes over the wire. */
  readonly raw: Uint8Array;
}

export interface MailAddress {
  readonly from: string;
  readonly to: string;
  readonly occasion: string;
}

/** `<2026-03-02.2b4f...@example.org>` */
export function messageIdOf(address: MailAddress): string {
  return `<${address.occasion}.${fingerprint(address)}@${domainOf(address.from)}>`;
}

/** @param dateMs when what it says was read from the store */
export async function composeMail(address: MailAddress, content: DigestContent, dateMs: number): Promise<Mail> {
  const { from, to, occasion } = address;
  const messageId = messageIdOf(address);
  const raw = await new MailComposer({
    from: { name: 'gearhold', address: from },
    to,
    subject: content.subject,
    date: new Date(dateMs),
    messageId,
    headers: {
      // RFC 3834: no absence note answers it. RFC 2919: a name to file it by.
      'Auto-Submitted': 'auto-generated',
      'List-Id': `gearhold ${mastheads[content.kind]} <${content.kind}.gearhold.${domainOf(from)}>`,
    },
    text: withCrlf(digestText(content)),
    html: withCrlf(digestHtml(content)),
    textEncoding: 'quoted-printable',
    baseBoundary: fingerprint(address),
    disableFileAccess: true,
    disableUrlAccess: true,
  })
    .compile()
    .build();
  return { from, to, messageId, occasion, raw };
}

/** Lines end in CRLF in a mail. */
function withCrlf(text: string): string {
  return text.replaceAll('\n', '\r\n');
}

/** 20 hex digits that differ for every sender, recipient and occasion; a mailbox of any case is one. */
export function fingerprint({ from, to, occasion }: MailAddress): string {
  const text = [from, to.toLowerCase(), occasion].join('\n');
  return createHash('sha256').update(text).digest('hex').slice(0, 20);
}

function domainOf(address: string): string {
  return address.slice(address.lastIndexOf('@') + 1).toLowerCase();
}
