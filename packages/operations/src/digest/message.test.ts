/** The mail as a foreign parser reads it. */
import { simpleParser } from 'mailparser';
import { expect, it } from 'vitest';
import { digestContent } from './content.ts';
import { composeMail, messageIdOf } from './message.ts';
import { check, day, episode, fact, nothingEarlier, recipient } from './testing/day.ts';

const address = { from: 'gearhold@carrier.example', to: 'safety@example.org', occasion: '2026-03-02' };
const dateMs = Date.UTC(2026, 2, 3, 10, 30, 15);

function mailOf(siteId = 'cairn-depot') {
  const facts = day({ episodes: [fact(episode('a', [check()], { siteId }))] });
  return composeMail(address, digestContent(facts, nothingEarlier, recipient(), { consoleUrl: null }), dateMs);
}

it('is read back by a foreign parser: headers, text and HTML', async () => {
  const mail = await simpleParser(Buffer.from((await mailOf('Zolldepot Süd – ö')).raw));
  expect(mail.subject).toBe('gearhold Mon 2 Mar 2026: 1 to look at');
  expect(mail.from?.value).toEqual([{ address: 'gearhold@carrier.example', name: 'gearhold' }]);
  expect(mail.date).toEqual(new Date(dateMs));
  expect(mail.messageId).toBe(messageIdOf(address));
  expect(mail.headers.get('auto-submitted')).toBe('auto-generated');
  expect(mail.headers.get('list')).toMatchObject({
    id: { name: 'gearhold daily digest', id: 'digest.gearhold.carrier.example' },
  });
  expect(mail.text).toContain('The trailer was left after a pause of 0 s; 30 s is asked.');
  expect(mail.text).toContain('08:05 CST, Zolldepot Süd – ö');
  expect(mail.html).toContain('Zolldepot S');
  expect(mail.attachments).toEqual([]);
});

it('keeps to RFC 5322: lines of at most 998 bytes, CRLF, ASCII, one of each field', async () => {
  const raw = Buffer.from((await mailOf('Süd')).raw).toString('latin1');
  expect(raw.split('\r\n').every((line) => line.length <= 998)).toBe(true);
  expect(raw.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
  expect(raw.replaceAll(/[\t\r\n]/g, '')).toMatch(/^[ -~]*$/);
  const head = raw.slice(0, raw.indexOf('\r\n\r\n'));
  for (const field of ['From', 'To', 'Subject', 'Date', 'Message-ID', 'MIME-Version', 'List-Id', 'Auto-Submitted'])
    expect(head.match(new RegExp(`^${field}:`, 'gim'))).toHaveLength(1);
  expect(head).toMatch(/^Content-Type: multipart\/alternative;/m);
});

it('is the same mail, byte for byte, when it is composed again', async () => {
  expect((await mailOf()).raw).toEqual((await mailOf()).raw);
});

it('has an id of its own for every recipient, day and sender', () => {
  const ids = [
    address,
    { ...address, to: 'other@example.org' },
    { ...address, occasion: '2026-03-03' },
    { ...address, from: 'gearhold@other.example' },
  ].map(messageIdOf);
  expect(new Set(ids).size).toBe(4);
  expect(ids[0]).toMatch(/^<2026-03-02\.[0-9a-f]{20}@carrier\.example>$/);
  expect(messageIdOf({ ...address, to: 'Safety@Example.ORG' })).toBe(ids[0]);
});
