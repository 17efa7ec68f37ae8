/**
 * What the pure rooms may not touch: a clock, a file, the network, the environment, chance, a log. The same readings must
 * give the same bytes on every machine and at every hour. Everything is looked up in the syntax tree, so that a word in a
 * comment or a string is no finding.
 */
import ts from 'typescript';
import { importsOf } from './imports.ts';
import type { SourceFile } from './tree.ts';

/** Built-in modules without a clock, a file, a socket or chance in what we use of them. */
const pureModules = new Set([
  'node:buffer',
  'node:crypto',
  'node:events',
  'node:stream',
  'node:stream/promises',
  'node:string_decoder',
  'node:util',
  'node:zlib',
]);

/** What is banned, and what to do instead. */
const impure: Readonly<Record<string, string>> = {
  'Date.now': 'take the time as an argument',
  'Math.random': 'take a seeded generator as an argument',
  'Temporal.Now': 'take the time as an argument',
  'crypto.randomUUID': 'derive the id from the input',
  'crypto.getRandomValues': 'take a seeded generator as an argument',
  process: 'take what is needed as an argument',
  performance: 'measure in the service or the bench',
  fetch: 'let the service fetch',
  setTimeout: 'let the service wait',
  setInterval: 'let the service wait',
  randomBytes: 'take a seeded generator as an argument',
  randomUUID: 'derive the id from the input',
};

/** Pure rooms; what stands in a test beside its file is no part of them. */
function isPure(path: string): boolean {
  return /^packages\/(signals|episodes|policy|rates|look)\//.test(path) && !path.endsWith('.test.ts');
}

/** Files of the pure rooms against the bans above. */
export function purity(files: readonly SourceFile[]): string[] {
  const findings: string[] = [];
  for (const file of files.filter((file) => isPure(file.path))) {
    for (const specifier of importsOf(file)) {
      if (specifier.startsWith('node:') && !pureModules.has(specifier)) {
        findings.push(`${file.path}: ${specifier} does not belong in a pure room; let a service hand in what it gives`);
      }
    }
    visit(file, (node) => {
      if (ts.isNewExpression(node) && node.expression.getText() === 'Date' && !node.arguments?.length) {
        findings.push(`${place(file, node)}: new Date() reads the clock; take the time as an argument`);
      }
      const name = nameOf(node);
      const instead = name === null ? undefined : impure[name];
      if (instead !== undefined) findings.push(`${place(file, node)}: ${name} is not pure; ${instead}`);
    });
  }
  return findings;
}

/** Files outside the tests against console calls: results and logs go through the streams that a service hands in. */
export function consoleCalls(files: readonly SourceFile[]): string[] {
  const findings: string[] = [];
  for (const file of files) {
    visit(file, (node) => {
      if (ts.isPropertyAccessExpression(node) && node.expression.getText() === 'console') {
        findings.push(`${place(file, node)}: ${node.getText()} writes past the streams; write to the one handed in`);
      }
    });
  }
  return findings;
}

/** `a.b` for a property access, `a` for a name that stands for a value on its own; null for anything else. */
function nameOf(node: ts.Node): string | null {
  if (ts.isPropertyAccessExpression(node)) return `${node.expression.getText()}.${node.name.text}`;
  if (!ts.isIdentifier(node)) return null;
  // The name of a property, parameter, type or import is a word, not the value that it would stand for.
  const parent = node.parent as ts.Node & { readonly name?: ts.Node; readonly propertyName?: ts.Node };
  const isOwnName =
    parent.name === node || (ts.isBindingElement(parent) && parent.propertyName === node) || ts.isTypeNode(parent);
  return isOwnName ? null : node.text;
}

function visit(file: SourceFile, see: (node: ts.Node) => void): void {
  const walk = (node: ts.Node): void => {
    see(node);
    ts.forEachChild(node, walk);
  };
  walk(ts.createSourceFile(file.path, file.text, ts.ScriptTarget.Latest, true));
}

function place(file: SourceFile, node: ts.Node): string {
  const { line } = node.getSourceFile().getLineAndCharacterOfPosition(node.getStart());
  return `${file.path}:${line + 1}`;
}
