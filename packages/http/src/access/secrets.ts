/**
 * Secrets that we give out, and the only forms in which they are kept: tokens as SHA-256 (they carry 256 bits of chance, so that a
 * slow hash would add nothing), passwords as Argon2id by RFC 9106 with the parameters beside the hash.
 */
import { argon2 as argon2Callback, createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';
import { promisify } from 'node:util';

const argon2 = promisify(argon2Callback);

/** The second recommended option of RFC 9106 asks for 64 MiB and three passes. */
const cost = { memory: 65_536, passes: 3, parallelism: 1 } as const;
const tagLength = 32;

/** Letters and digits that nobody confuses when a password is read from a screen. */
const readable = 'abcdefghjkmnpqrstuvwxyz23456789';

export const tokenPrefix = 'ghk_';

/** A new secret of 256 bits; the prefix lets a scanner of repositories know it. */
export function newSecret(prefix = ''): string {
  return prefix + randomBytes(32).toString('base64url');
}

/** The form in which a secret of ours is kept and looked up. */
export function secretHash(secret: string): string {
  return createHash('sha256').update(secret, 'utf8').digest('hex');
}

/** Four groups of four: 79 bits, to be typed once. */
export function newOneTimePassword(): string {
  const group = () => Array.from({ length: 4 }, () => readable[randomInt(readable.length)]).join('');
  return [group(), group(), group(), group()].join('-');
}

/** A password as it is kept: `argon2id$m=65536,t=3,p=1$SALT$HASH`, salt and hash in base64url. */
export async function passwordHash(password: string): Promise<string> {
  const nonce = randomBytes(16);
  const tag = await derive(password, nonce, cost.memory, cost.passes, cost.parallelism);
  const parameters = `m=${cost.memory},t=${cost.passes},p=${cost.parallelism}`;
  return `argon2id$${parameters}$${nonce.toString('base64url')}$${tag.toString('base64url')}`;
}

/** Whether the password is the one that was kept; false for a form that we never wrote. */
export async function passwordFits(password: string, kept: string): Promise<boolean> {
  const parts = /^argon2id\$m=(\d+),t=(\d+),p=(\d+)\$([\w-]+)\$([\w-]+)$/.exec(kept);
  if (parts === null) return false;
  const [, memory, passes, parallelism, nonce, tag] = parts;
  const expected = Buffer.from(tag!, 'base64url');
  const given = await derive(
    password,
    Buffer.from(nonce!, 'base64url'),
    Number(memory),
    Number(passes),
    Number(parallelism),
  );
  return given.length === expected.length && timingSafeEqual(given, expected);
}

/** Equal in a time that does not depend on where they differ. */
export function sameSecret(given: string, expected: string): boolean {
  return timingSafeEqual(Buffer.from(secretHash(given)), Buffer.from(secretHash(expected)));
}

async function derive(
  password: string,
  nonce: Buffer,
  memory: number,
  passes: number,
  parallelism: number,
): Promise<Buffer> {
  const message = password.normalize('NFC');
  return Buffer.from(await argon2('argon2id', { message, nonce, memory, passes, parallelism, tagLength }));
}
