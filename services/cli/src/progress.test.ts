import { Writable } from 'node:stream';
import { expect, it } from 'vitest';
import { showProgress } from './progress.ts';

function terminal(isTTY: boolean): { stream: Writable & { isTTY: boolean }; text: () => string } {
  let text = '';
  const stream = new Writable({
    write: (chunk, _, done) => {
      text += String(chunk);
      done();
    },
  });
  const methods = { isTTY, columns: 100, cursorTo: () => true, clearLine: () => true, moveCursor: () => true };
  return { stream: Object.assign(stream, methods), text: () => text };
}

it('draws nothing where standard error is no terminal', () => {
  const { stream, text } = terminal(false);
  const progress = showProgress(stream, 100);
  progress.file('a.csv');
  progress.bytes(50);
  progress.rows(10);
  progress.stop();
  expect(text()).toBe('');
});

it('shows how far it is, where the size is known, and a count where it is not', () => {
  const known = terminal(true);
  const progress = showProgress(known.stream, 100);
  progress.stop();
  expect(known.text()).toContain('0 % ');
  const unknown = terminal(true);
  showProgress(unknown.stream, null).stop();
  expect(unknown.text()).toContain('0 rows');
  expect(unknown.text()).not.toContain('%');
});
