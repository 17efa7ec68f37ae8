import { expect, test } from 'vitest';
import { createLogger } from './logger.ts';

function logged(write: (log: ReturnType<typeof createLogger>) => void): Record<string, unknown>[] {
  const lines: string[] = [];
  write(createLogger('nightly', 'info', { write: (line) => lines.push(line) }));
  return lines.map((line) => JSON.parse(line));
}

test('a line names program, level by name, and a time in RFC 3339', () => {
  const [line] = logged((log) => log.warn({ day: '2026-03-02' }, 'nothing came'));
  expect(line).toMatchObject({ program: 'nightly', level: 'warn', day: '2026-03-02', msg: 'nothing came' });
  expect(line?.time).toMatch(/^\d{4}-\d\d-\d\dT.*Z$/);
});

test('what is below the level is not written', () => {
  expect(logged((log) => log.debug('detail'))).toEqual([]);
});

test('keys that hold a secret are left out, nested ones too', () => {
  const text = JSON.stringify(
    logged((log) => log.info({ password: 'pear', smtp: { pass: 'plum', host: 'h' }, a: { b: { token: 'fig' } } }, 'x')),
  );
  expect(text).not.toMatch(/pear|plum|fig/);
  expect(text).toContain('"host":"h"');
});

test('of an error neither details nor other fields are written', () => {
  const error = Object.assign(new Error('refused'), { code: '23505', detail: 'Key (driver_id)=(fig)' });
  const [line] = logged((log) => log.error({ err: error }, 'x'));
  expect(line?.err).toMatchObject({ type: 'Error', message: 'refused', code: '23505' });
  expect(JSON.stringify(line)).not.toContain('fig');
});
