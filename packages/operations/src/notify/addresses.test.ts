import { describe, expect, it, test } from 'vitest';
import { allowedAddresses, guardedLookup, mayReach, refuseLiteral } from './addresses.ts';

const none = allowedAddresses([]);

test.each([
  '127.0.0.1',
  '10.1.2.3',
  '172.31.255.255',
  '192.168.0.1',
  '169.254.169.254',
  '100.64.0.1',
  '0.0.0.0',
  '255.255.255.255',
  '224.0.0.1',
  '::1',
  '::',
  'fe80::1',
  'fd00::1',
  'ff02::1',
  '::ffff:127.0.0.1',
  '64:ff9b::7f00:1',
  '2002:7f00:1::',
  '2001:db8::1',
  'not an address',
])('%s is not reached', (address) => {
  expect(mayReach(address, none)).toBe(false);
});

test.each(['1.1.1.1', '172.32.0.1', '2606:4700::1111', '::ffff:1.1.1.1'])('%s may be reached', (address) => {
  expect(mayReach(address, none)).toBe(true);
});

describe('what the configuration allows', () => {
  it('is reached, and nothing beside it', () => {
    const allowed = allowedAddresses(['10.1.0.0/16', '::1']);
    expect(mayReach('10.1.9.9', allowed)).toBe(true);
    expect(mayReach('10.2.0.1', allowed)).toBe(false);
    expect(mayReach('::1', allowed)).toBe(true);
    expect(() => allowedAddresses(['localhost'])).toThrow(/no address/);
    expect(() => allowedAddresses(['10.0.0.0/40'])).toThrow(/no address/);
  });
});

describe('a connection', () => {
  it('is refused where the host is written as a private address', () => {
    expect(() => refuseLiteral('[::1]', none)).toThrow(/private or reserved/);
    expect(() => refuseLiteral('127.0.0.1', none)).toThrow(/private or reserved/);
    expect(() => refuseLiteral('example.org', none)).not.toThrow();
  });

  it('is refused where the name points to one', async () => {
    const failure = await new Promise<Error | null>((resolve) => {
      guardedLookup(none)('localhost', { all: true }, (error) => resolve(error));
    });
    expect(failure?.message).toMatch(/private or reserved/);
    const found = await new Promise<unknown>((resolve) => {
      guardedLookup(allowedAddresses(['127.0.0.0/8', '::1']))('localhost', {}, (_, address) => resolve(address));
    });
    expect(found === '127.0.0.1' || found === '::1').toBe(true);
  });
});
