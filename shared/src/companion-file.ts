/**
 * Companion files: policy, vehicles, sites, source profile. JSON, checked by the zod schema of the room that owns them.
 * Whatever is wrong ends in a {@link Failure} of status 2 that names the file, the place in it and what was expected.
 */
import { readFile } from 'node:fs/promises';
import type { z } from 'zod';
import { exitStatus, Failure, fileReason } from './failure.ts';

/** A companion file is written by a person or a small export; more than this is something else, bytes. */
const largestFile = 64 * 1024 * 1024;

/** As many problems as a person mends in one go. */
const problemsShown = 10;

/**
 * The JSON of a companion file. `what` names its role in sentences, such as `vehicles file`.
 *
 * @throws Failure of status 2
 */
export async function readJson(path: string, what: string): Promise<unknown> {
  return parseJson(await companionBytes(path, what), path, what);
}

/** @throws Failure of status 2 */
export async function companionBytes(path: string, what: string): Promise<Uint8Array> {
  try {
    return await readFile(path);
  } catch (error) {
    throw new Failure(exitStatus.usage, `${what} ${path} cannot be read: ${fileReason(error)}.`);
  }
}

/** The value as the schema has it. @throws Failure of status 2 */
export function checkCompanion<T>(value: unknown, path: string, what: string, schema: z.ZodType<T>): T {
  const result = schema.safeParse(value);
  if (result.success) return result.data;
  throw problemFailure(path, what, problemsOf(result.error, value));
}

/** What a schema found wrong with a value, each a sentence that begins with its place in it. */
export function problemsOf({ issues }: z.ZodError, value: unknown): string[] {
  const problems = issues.flatMap((issue) => describe(issue, value, []));
  return problems.map(({ path, message }) => `${path}: ${message}.`);
}

/** A failure of status 2 that names the first problems, each a sentence that begins with its place in the file. */
export function problemFailure(path: string, what: string, problems: readonly string[]): Failure {
  const lines = problems.slice(0, problemsShown).map((problem) => `${what} ${path}, at ${problem}`);
  const more = problems.length - problemsShown;
  if (more > 0) lines.push(more === 1 ? 'One more like these follows.' : `${more} more like these follow.`);
  return new Failure(exitStatus.usage, lines.join('\n'));
}

/** @throws Failure of status 2 with line and column */
export function parseJson(bytes: Uint8Array, path: string, what: string): unknown {
  const text = companionText(bytes, path, what);
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new Failure(exitStatus.usage, `${what} ${path} is not JSON${placeOf(error, text)}.`);
  }
}

/** The text of a companion file, not empty. @throws Failure of status 2 */
export function companionText(bytes: Uint8Array, path: string, what: string, form = 'JSON'): string {
  if (bytes.length > largestFile) {
    throw new Failure(exitStatus.usage, `${what} ${path} is larger than 64 MiB: expected a short ${form} file.`);
  }
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new Failure(exitStatus.usage, `${what} ${path} is not UTF-8 text: expected a ${form} file.`);
  }
  if (text.trim() === '') throw new Failure(exitStatus.usage, `${what} ${path} is empty: expected a ${form} file.`);
  return text;
}

/** `, line 3 column 5: expected ...` from the words of the JSON parser. */
function placeOf(error: unknown, text: string): string {
  const message = error instanceof Error ? error.message : '';
  const position = /at position (\d+)/.exec(message)?.[1];
  const end = position === undefined ? text.length : Number(position);
  const before = text.slice(0, end);
  const line = before.split('\n').length;
  const column = end - before.lastIndexOf('\n');
  const expected = /^(Expected .*?) in JSON/s.exec(message)?.[1];
  const reason =
    expected === undefined ? (position === undefined ? 'it ends early' : 'unexpected character') : lower(expected);
  return `, line ${line} column ${column}: ${reason}`;
}

interface Problem {
  readonly path: string;
  readonly message: string;
}

/** One sentence part an issue; of a union, the branch that came furthest. */
function describe(issue: z.core.$ZodIssue, root: unknown, above: readonly PropertyKey[]): Problem[] {
  const path = [...above, ...issue.path];
  if (issue.code === 'invalid_union' && issue.errors.length > 0) {
    const branches = issue.errors.map((branch) => branch.flatMap((inner) => describe(inner, root, path)));
    const deepest = branches.reduce((a, b) => (depth(b) > depth(a) ? b : a));
    if (depth(deepest) > jsonPath(path).length) return deepest;
    const wanted = [...new Set(branches.flat().map((problem) => problem.message.replace(/, found .*$/, '')))];
    return [{ path: jsonPath(path), message: `${wanted.join(' or ')}${found(root, path)}` }];
  }
  if (issue.code === 'unrecognized_keys') {
    const keys = issue.keys.map((key) => `"${key}"`).join(', ');
    return [{ path: jsonPath(path), message: `unknown ${issue.keys.length === 1 ? 'key' : 'keys'} ${keys}` }];
  }
  const message = issue.message
    .replace(/^(Invalid [a-z ]+|Too small|Too big): /, '')
    .replace(/, received .*$/, '')
    .replace(/\.$/, '');
  return [
    {
      path: jsonPath(path),
      message: `${lower(message)}${issue.code === 'custom' ? foundScalar(root, path) : found(root, path)}`,
    },
  ];
}

function depth(problems: readonly Problem[]): number {
  return Math.max(0, ...problems.map((problem) => problem.path.length));
}

/** The rule of a schema speaks for itself; only a plain value is worth repeating beside it. */
function foundScalar(root: unknown, path: readonly PropertyKey[]): string {
  const text = found(root, path);
  return /^, found (nothing|an object|a list)/.test(text) ? '' : text;
}

/** `, found "x"`: the value at a path, shortened. */
function found(root: unknown, path: readonly PropertyKey[]): string {
  let value = root;
  for (const key of path) {
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, key)) return ', found nothing';
    value = (value as Record<PropertyKey, unknown>)[key];
  }
  if (Array.isArray(value)) return `, found a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) return ', found an object';
  const text = JSON.stringify(value);
  return `, found ${text.length > 60 ? `${text.slice(0, 57)}...` : text}`;
}

/** `[3].levels.bobtailKpa`; the whole file is `the top`. */
export function jsonPath(path: readonly PropertyKey[]): string {
  let text = '';
  for (const key of path) {
    if (typeof key === 'number') text += `[${key}]`;
    else if (/^[A-Za-z_]\w*$/.test(String(key))) text += text === '' ? String(key) : `.${String(key)}`;
    else text += `[${JSON.stringify(String(key))}]`;
  }
  return text === '' ? 'the top' : text;
}

function lower(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}
