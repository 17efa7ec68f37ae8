import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { checkCompanion, jsonPath, parseJson, readJson } from './companion-file.ts';
import { Failure } from './failure.ts';

const vehiclesSchema = z.array(
  z.strictObject({
    vehicleId: z.string(),
    use: z.enum(['road', 'yard', 'other']).optional(),
    levels: z.strictObject({ bobtailKpa: z.number().optional() }).optional(),
  }),
);

const bytes = (text: string) => new TextEncoder().encode(text);

function failureOf(text: string | Uint8Array, schema: z.ZodType = vehiclesSchema): Failure {
  try {
    const value = parseJson(typeof text === 'string' ? bytes(text) : text, 'fleet.json', 'vehicles file');
    checkCompanion(value, 'fleet.json', 'vehicles file', schema);
  } catch (error) {
    if (error instanceof Failure) return error;
    throw error;
  }
  throw new Error('the file was taken');
}

describe('a companion file', () => {
  it('is taken with or without a byte order mark', () => {
    const text = '[{ "vehicleId": "T-1" }]';
    for (const json of [text, `\uFEFF${text}`]) {
      const value = parseJson(bytes(json), 'f', 'vehicles file');
      expect(checkCompanion(value, 'f', 'vehicles file', vehiclesSchema)).toEqual([{ vehicleId: 'T-1' }]);
    }
  });

  it('names line and column where it is not JSON', () => {
    const failure = failureOf('[\n  { "vehicleId": "T-1" }\n  { "vehicleId": "T-2" }\n]');
    expect(failure.status).toBe(2);
    expect(failure.message).toMatch(/^vehicles file fleet\.json is not JSON, line 3 column 3: expected ',' or '\]'/);
  });

  it('names the end where it ends early', () => {
    expect(failureOf('[{ "vehicleId": "T-1"').message).toMatch(/is not JSON, line 1 column 22: expected/);
  });

  it('names the path, what was expected and what was found', () => {
    expect(failureOf('[{ "vehicleId": "T-1", "levels": { "bobtailKpa": "55" } }]').message).toBe(
      'vehicles file fleet.json, at [0].levels.bobtailKpa: expected number, found "55".',
    );
    expect(failureOf('[{}]').message).toBe(
      'vehicles file fleet.json, at [0].vehicleId: expected string, found nothing.',
    );
    expect(failureOf('{}').message).toBe('vehicles file fleet.json, at the top: expected array, found an object.');
  });

  it('names an unknown key', () => {
    expect(failureOf('[{ "vehicleId": "T-1", "levls": {} }]').message).toBe(
      'vehicles file fleet.json, at [0]: unknown key "levls".',
    );
  });

  it('lists the values that an option takes', () => {
    expect(failureOf('[{ "vehicleId": "T-1", "use": "boat" }]').message).toBe(
      'vehicles file fleet.json, at [0].use: expected one of "road"|"yard"|"other", found "boat".',
    );
  });

  it('names what each branch of a choice wants', () => {
    const schema = z.strictObject({ format: z.union([z.literal('iso'), z.number()]) });
    expect(failureOf('{ "format": true }', schema).message).toBe(
      'vehicles file fleet.json, at format: expected "iso" or expected number, found true.',
    );
  });

  it('shows ten problems and counts the rest', () => {
    const lines = failureOf(JSON.stringify(Array.from({ length: 13 }, () => ({})))).message.split('\n');
    expect(lines).toHaveLength(11);
    expect(lines.at(-1)).toBe('3 more like these follow.');
    const eleven = failureOf(JSON.stringify(Array.from({ length: 11 }, () => ({})))).message;
    expect(eleven.split('\n').at(-1)).toBe('One more like these follows.');
  });

  it('says so where it is empty, or no text', () => {
    expect(failureOf('').message).toBe('vehicles file fleet.json is empty: expected a JSON file.');
    expect(failureOf(Uint8Array.of(0xff, 0xfe, 0x5b, 0)).message).toBe(
      'vehicles file fleet.json is not UTF-8 text: expected a JSON file.',
    );
  });

  it('says so where it does not exist', async () => {
    await expect(readJson('/nowhere/fleet.json', 'vehicles file')).rejects.toThrow(
      'vehicles file /nowhere/fleet.json cannot be read: there is no such file or folder.',
    );
  });
});

it('spells a path as one would write it', () => {
  expect(jsonPath(['signals', 'speedKph', 'codes', '251'])).toBe('signals.speedKph.codes["251"]');
  expect(jsonPath([0, 'polygon', 2])).toBe('[0].polygon[2]');
  expect(jsonPath([])).toBe('the top');
});
