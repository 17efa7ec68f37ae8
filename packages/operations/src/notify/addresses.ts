/**
 * Where a webhook may not go: addresses that are not reachable from everywhere (private, loopback, link-local, multicast, reserved),
 * unless the configuration allows them. Names are resolved at the moment of connecting, and the checked address is the one connected
 * to, so that a name cannot point elsewhere in between.
 *
 * Source: IANA IPv4 and IPv6 Special-Purpose Address Registries (RFC 6890 and updates; ranges from memory).
 */
import { lookup as resolveName } from 'node:dns';
import { BlockList, isIP, type LookupFunction } from 'node:net';

const ipv4Ranges = [
  ['0.0.0.0', 8],
  ['10.0.0.0', 8],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['169.254.0.0', 16],
  ['172.16.0.0', 12],
  ['192.0.0.0', 24],
  ['192.0.2.0', 24],
  ['192.88.99.0', 24],
  ['192.168.0.0', 16],
  ['198.18.0.0', 15],
  ['198.51.100.0', 24],
  ['203.0.113.0', 24],
  ['224.0.0.0', 4],
  ['240.0.0.0', 4],
] as const;

/** Of IPv6 only global unicast is reachable from everywhere, less these parts of it. */
const ipv6Ranges = [
  ['2001::', 23],
  ['2001:db8::', 32],
  ['2002::', 16],
  ['3fff::', 20],
] as const;

const special = new BlockList();
for (const [address, prefix] of ipv4Ranges) special.addSubnet(address, prefix, 'ipv4');
for (const [address, prefix] of ipv6Ranges) special.addSubnet(address, prefix, 'ipv6');

const globalUnicast = new BlockList();
globalUnicast.addSubnet('2000::', 3, 'ipv6');

/** Addresses that may be reached although they are special. */
export type Allowed = BlockList;

/**
 * @param entries addresses or ranges such as `10.1.0.0/16`
 * @throws RangeError with a sentence where an entry is neither
 */
export function allowedAddresses(entries: readonly string[]): Allowed {
  const allowed = new BlockList();
  for (const entry of entries) {
    const [address = '', prefix] = entry.split('/');
    const family = isIP(address);
    const bits = prefix === undefined ? (family === 4 ? 32 : 128) : Number(prefix);
    if (family === 0 || !Number.isInteger(bits) || bits < 0 || bits > (family === 4 ? 32 : 128)) {
      throw new RangeError(`'${entry}' is no address and no range of addresses; write 10.1.2.3 or 10.1.0.0/16`);
    }
    allowed.addSubnet(address, bits, family === 4 ? 'ipv4' : 'ipv6');
  }
  return allowed;
}

/** Whether an address may be connected to. An IPv4 address within IPv6 counts as what it stands for. */
export function mayReach(address: string, allowed: Allowed): boolean {
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1];
  if (mapped !== undefined) return mayReach(mapped, allowed);
  const family = isIP(address);
  if (family === 4) return allowed.check(address, 'ipv4') || !special.check(address, 'ipv4');
  if (family !== 6) return false;
  if (allowed.check(address, 'ipv6')) return true;
  return globalUnicast.check(address, 'ipv6') && !special.check(address, 'ipv6');
}

/** An address that may not be connected to was asked for. */
class AddressRefused extends Error {
  constructor(host: string, address: string) {
    super(
      `${host} stands at ${address}, which is private or reserved; allow the address in the configuration of the service`,
    );
    this.name = 'AddressRefused';
  }
}

/** Whether a host written as an address may be reached; names are checked when they are resolved. */
export function refuseLiteral(hostname: string, allowed: Allowed): void {
  const host = hostname.replace(/^\[|\]$/g, '');
  if (isIP(host) !== 0 && !mayReach(host, allowed)) throw new AddressRefused(host, host);
}

/** A `lookup` for a connection that gives only addresses which may be reached: one that may not refuses the name as a whole. */
export function guardedLookup(allowed: Allowed): LookupFunction {
  return (hostname, options, callback) => {
    resolveName(hostname, { ...options, all: true }, (error, addresses) => {
      if (error !== null) return callback(error, '', 4);
      const refused = addresses.find(({ address }) => !mayReach(address, allowed));
      if (refused !== undefined) return callback(new AddressRefused(hostname, refused.address), '', 4);
      if (options.all === true) return callback(null, addresses);
      const [first] = addresses;
      if (first === undefined) return callback(new Error(`${hostname} has no address`), '', 4);
      return callback(null, first.address, first.family);
    });
  };
}
