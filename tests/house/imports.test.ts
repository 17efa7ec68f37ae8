import { describe, expect, test } from 'vitest';
import { importDirection, importExtensions, importsOf } from './imports.ts';

const file = (path: string, text: string) => ({ path, text });

describe('import direction', () => {
  test('a package may not import one above it', () => {
    const upward = file('packages/signals/src/a.ts', "import type { Episode } from '@gearhold/episodes';\n");
    expect(importDirection([upward])).toEqual([
      'packages/signals/src/a.ts: packages/signals may not import packages/episodes',
    ]);
  });

  test('nobody may import services, tests or fixtures, by name or by path', () => {
    const findings = importDirection([
      file('packages/policy/src/a.ts', "export * from '@gearhold/cli';"),
      file('services/cli/src/b.ts', "const demo = await import('@gearhold/fixtures');"),
      file('services/cli/src/c.ts', "import { top } from '../../../tests/house/tree.ts';"),
      file('services/cli/src/d.ts', "import '../../nightly/src/run.ts';"),
    ]);
    expect(findings).toEqual([
      'packages/policy/src/a.ts: packages/policy may not import services/cli',
      'services/cli/src/b.ts: services/cli may not import fixtures',
      'services/cli/src/c.ts: services/cli may not import tests',
      'services/cli/src/d.ts: services/cli may not import services/nightly',
    ]);
  });

  test('an allowed package is imported by name, not by path', () => {
    const reach = file('packages/episodes/src/a.ts', "import { x } from '../../signals/src/units.ts';");
    expect(importDirection([reach])[0]).toContain('reaches into packages/signals by path');
  });

  test('a path out of every room is refused', () => {
    const out = file('packages/signals/src/a.ts', "import x from '../../../package.json';");
    expect(importDirection([out])[0]).toContain('may not import ../../../package.json');
  });

  test('the store takes types of the other packages, and nothing that runs', () => {
    const type = file('packages/store/src/a.ts', "import type { Site } from '@gearhold/policy';");
    const value = file('packages/store/src/b.ts', "import { type Site, siteAt } from '@gearhold/policy';");
    expect(importDirection([type, value])).toEqual([
      "packages/store/src/b.ts: packages/store may take only types from packages/policy; write 'import type'",
    ]);
  });

  test('a room without a row in the table is a finding, not a free pass', () => {
    expect(importDirection([file('packages/new/src/a.ts', '')])[0]).toContain('packages/new is in no row');
  });

  test('what the table allows passes, and tests and fixtures see everything', () => {
    expect(
      importDirection([
        file('packages/policy/src/a.ts', "import { x } from '@gearhold/signals'; import './b.ts'; import 'zod';"),
        file('services/cli/src/a.ts', "import '@gearhold/policy'; import '@gearhold/schemas'; import 'node:fs';"),
        file('tests/house/a.ts', "import '../../services/cli/src/a.ts'; import '@gearhold/fixtures';"),
        file('fixtures/src/a.ts', "import '@gearhold/policy';"),
        file('vitest.config.ts', "import 'vitest/config';"),
      ]),
    ).toEqual([]);
  });
});

describe('import endings', () => {
  test('a relative import without its ending is a finding', () => {
    const findings = importExtensions([file('tests/a.ts', "import './b'; import './c.js'; import './d.ts';")]);
    expect(findings).toHaveLength(2);
    expect(findings[0]).toContain("'./b' needs its ending");
  });
});

test('imports are read from statements of every form, not from strings and comments', () => {
  const text = "import a from 'a'; export * from 'b'; await import('c'); // import 'd'\nconst e = \"import 'e'\";";
  expect(importsOf(file('x.ts', text))).toEqual(['a', 'b', 'c']);
});
