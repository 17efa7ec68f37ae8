import { describe, expect, test } from 'vitest';
import { consoleCalls, purity } from './purity.ts';

const pure = (text: string) => purity([{ path: 'packages/episodes/src/a.ts', text }]);

describe('purity', () => {
  test.each([
    ['a clock', 'const t = Date.now();', 'Date.now is not pure; take the time as an argument'],
    ['a clock in a date', 'const t = new Date();', 'new Date() reads the clock'],
    ['the newer clock', 'const t = Temporal.Now.instant();', 'Temporal.Now is not pure'],
    ['a stop watch', 'const t = performance.now();', 'performance is not pure'],
    ['chance', 'const r = Math.random();', 'Math.random is not pure'],
    ['chance from crypto', "import { randomUUID } from 'node:crypto';\nrandomUUID();", 'randomUUID is not pure'],
    ['chance under another name', "import { randomBytes as r } from 'node:crypto';", 'randomBytes is not pure'],
    ['the environment', 'const e = process.env.HOME;', 'process is not pure'],
    ['a file', "import { readFileSync } from 'node:fs';", 'node:fs does not belong in a pure room'],
    ['the network', "import net from 'node:net';", 'node:net does not belong in a pure room'],
    ['a request', "await fetch('x');", 'fetch is not pure'],
    ['a timer', 'setTimeout(() => 1, 5);', 'setTimeout is not pure'],
  ])('%s is a finding', (_, text, finding) => {
    expect(pure(text).join('\n')).toContain(finding);
  });

  test('the finding gives the line', () => {
    expect(pure('\n\nMath.random();')[0]).toMatch(/^packages\/episodes\/src\/a\.ts:3: /);
  });

  test('what is handed in, and words in comments and strings, are none', () => {
    const text = `// never Date.now() or process
      import { Transform } from 'node:stream';
      const said = 'Math.random()';
      const at = new Date(0);
      const row = { process: 1 };
      row.process;
      function run(process: number) { const { fetch: take } = { fetch: said }; }
      interface Options { process: string }`;
    expect(pure(text)).toEqual([]);
  });

  test('tests beside their file and other rooms are free', () => {
    const text = 'Date.now();';
    expect(purity([{ path: 'packages/episodes/src/a.test.ts', text }])).toEqual([]);
    expect(purity([{ path: 'services/cli/src/a.ts', text }])).toEqual([]);
  });
});

test('a console call is a finding anywhere, its name in a string is none', () => {
  const text = "const word = 'console.log';\nconsole.error(word);";
  expect(consoleCalls([{ path: 'services/cli/src/a.ts', text }])).toEqual([
    'services/cli/src/a.ts:2: console.error writes past the streams; write to the one handed in',
  ]);
});
