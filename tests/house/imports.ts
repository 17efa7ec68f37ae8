/**
 * Who may import whom. A room is a workspace: `packages/signals`, `services/cli`, `tests` and so on; the table below is the
 * one that DEVELOPERS.md explains. Findings are sentences, each with the file it is about.
 */
import { dirname, join } from 'node:path/posix';
import ts from 'typescript';
import type { SourceFile } from './tree.ts';

/** Rooms of ours that each room may import; itself always. */
const mayImport: Readonly<Record<string, readonly string[]>> = {
  'packages/signals': [],
  'packages/episodes': ['packages/signals'],
  'packages/policy': ['packages/episodes', 'packages/signals'],
  'packages/rates': [],
  'packages/look': ['packages/signals', 'packages/episodes', 'packages/policy', 'packages/rates'],
  schemas: ['packages/signals', 'packages/episodes', 'packages/policy', 'packages/rates'],
  'packages/store': ['packages/signals', 'packages/episodes', 'packages/policy', 'packages/rates'],
  'packages/operations': [
    'packages/signals',
    'packages/episodes',
    'packages/policy',
    'packages/rates',
    'packages/look',
    'packages/store',
    'schemas',
    'shared',
  ],
  'packages/http': [
    'packages/signals',
    'packages/episodes',
    'packages/policy',
    'packages/rates',
    'packages/look',
    'packages/store',
    'packages/operations',
    'schemas',
    'shared',
  ],
  shared: [],
  services: [
    'packages/signals',
    'packages/episodes',
    'packages/policy',
    'packages/rates',
    'packages/look',
    'packages/store',
    'packages/http',
    'packages/operations',
    'schemas',
    'shared',
  ],
};

/** Rooms that may take only types from the other packages of ours: what they do does not depend on how those work. */
const typesOnly = ['packages/store'];

/** Rooms that see everything, and that nobody sees. */
const overseers = ['tests', 'fixtures'];

/** Modules named in a file's import and export statements and in its dynamic imports. */
export function importsOf(file: SourceFile): string[] {
  return ts.preProcessFile(file.text, true, true).importedFiles.map((reference) => reference.fileName);
}

/** The room of a path: its workspace, or its first folder, or null for a file at the top. */
function roomOf(path: string): string | null {
  const parts = path.split('/');
  if (parts.length < 2) return null;
  return parts[0] === 'packages' || parts[0] === 'services' ? `${parts[0]}/${parts[1]}` : parts[0];
}

function roomOfPackage(specifier: string): string | null {
  const name = /^@gearhold\/([^/]+)/.exec(specifier)?.[1];
  if (name === undefined) return null;
  if (name === 'schemas' || name === 'shared' || overseers.includes(name)) return name;
  return mayImport[`packages/${name}`] ? `packages/${name}` : `services/${name}`;
}

/** Imports against the table above. */
export function importDirection(files: readonly SourceFile[]): string[] {
  const findings: string[] = [];
  for (const file of files) {
    const from = roomOf(file.path);
    if (from === null || overseers.includes(from)) continue;
    const allowed = mayImport[from.startsWith('services/') ? 'services' : from];
    if (!allowed) {
      findings.push(`${file.path}: ${from} is in no row of the import table; add one to tests/house/imports.ts`);
      continue;
    }
    for (const specifier of importsOf(file)) {
      const relative = specifier.startsWith('.');
      const to = relative ? roomOf(join(dirname(file.path), specifier)) : roomOfPackage(specifier);
      if (to === from || (to === null && !relative)) continue;
      if (to === null || !allowed.includes(to)) {
        findings.push(`${file.path}: ${from} may not import ${to ?? specifier}`);
      } else if (relative) {
        findings.push(`${file.path}: ${specifier} reaches into ${to} by path; import its package by name`);
      } else if (
        typesOnly.includes(from) &&
        !file.path.endsWith('.test.ts') &&
        valueImportsOf(file).includes(specifier)
      ) {
        findings.push(`${file.path}: ${from} may take only types from ${to}; write 'import type'`);
      }
    }
  }
  return findings;
}

/** Modules of which a file takes more than types. */
function valueImportsOf(file: SourceFile): string[] {
  const { statements } = ts.createSourceFile(file.path, file.text, ts.ScriptTarget.Latest, true);
  return statements.flatMap((statement) => {
    if (ts.isImportDeclaration(statement)) {
      return statement.importClause?.isTypeOnly ? [] : [(statement.moduleSpecifier as ts.StringLiteral).text];
    }
    if (ts.isExportDeclaration(statement) && statement.moduleSpecifier !== undefined) {
      return statement.isTypeOnly ? [] : [(statement.moduleSpecifier as ts.StringLiteral).text];
    }
    return [];
  });
}

/** Relative imports name the file as it is on disk: Node runs it without a build. */
export function importExtensions(files: readonly SourceFile[]): string[] {
  return files.flatMap((file) =>
    importsOf(file)
      .filter((specifier) => specifier.startsWith('.') && !/\.(tsx?|json|css)$/.test(specifier))
      .map((specifier) => `${file.path}: '${specifier}' needs its ending: write '${specifier}.ts' or the file's own`),
  );
}
