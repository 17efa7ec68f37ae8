/**
 * What is kept of who drove, applied to each row as it arrives: the id as it came, a pseudonym, or nothing. A pseudonym is a keyed
 * hash of the id (HMAC-SHA-256, RFC 2104), so that one person's rows stay together and nobody without the key can tell whose they
 * are, not even by trying all ids. The key stays in the store.
 */
import { createHmac } from 'node:crypto';

export const driverModes = ['named', 'pseudonym', 'none'] as const;
export type DriverMode = (typeof driverModes)[number];

/** Pseudonyms remembered: a fleet has fewer drivers. */
const rememberedMax = 100_000;

/** `P-` and 20 characters of base32 (100 bits): short enough to read out, long enough never to meet twice. */
const pseudonymCharacters = 20;
const alphabet = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** The pseudonym of an id under a key of 32 bytes. */
export function pseudonymOf(driverId: string, key: Uint8Array): string {
  const digest = createHmac('sha256', key).update(driverId, 'utf8').digest();
  let text = '';
  let bits = 0;
  let held = 0;
  for (const byte of digest) {
    held = (held << 8) | byte;
    bits += 8;
    while (bits >= 5 && text.length < pseudonymCharacters) {
      bits -= 5;
      text += alphabet[(held >> bits) & 31];
    }
    held &= (1 << bits) - 1;
  }
  return `P-${text}`;
}

/** What each mode makes of a driver's id. `key` is needed for pseudonyms only. */
export function driversKept(mode: DriverMode, key: Uint8Array | null): (driverId: string | null) => string | null {
  if (mode === 'named') return (driverId) => driverId;
  if (mode === 'none') return () => null;
  if (key === null || key.length < 32) throw new RangeError('driversKept: a pseudonym needs a key of 32 bytes');
  const known = new Map<string, string>();
  return (driverId) => {
    if (driverId === null) return null;
    let pseudonym = known.get(driverId);
    if (pseudonym === undefined) {
      pseudonym = pseudonymOf(driverId, key);
      if (known.size >= rememberedMax) known.clear();
      known.set(driverId, pseudonym);
    }
    return pseudonym;
  };
}
