/**
 * The id of an episode: the same for the same vehicle, kind and load-transfer time, whatever else changes. 64-bit FNV-1a of
 * their UTF-8 bytes, as 16 hexadecimal digits (offset basis and prime as Fowler, Noll and Vo published them; from memory,
 * held to their published test vectors in the test).
 */

const offsetBasis = 0xcbf29ce484222325n;
const prime = 0x100000001b3n;
const mask = 0xffffffffffffffffn;
const utf8 = new TextEncoder();

/** FNV-1a, 64 bit, as 16 hexadecimal digits. */
export function fnv1a64(text: string): string {
  let hash = offsetBasis;
  for (const byte of utf8.encode(text)) hash = ((hash ^ BigInt(byte)) * prime) & mask;
  return hash.toString(16).padStart(16, '0');
}

/** The id of an episode; `loadTransferTime` in its printed form. */
export function episodeIdOf(vehicleId: string, kind: string, loadTransferTime: string): string {
  // JSON keeps the parts apart, whatever characters an id holds.
  return fnv1a64(JSON.stringify([vehicleId, kind, loadTransferTime]));
}
