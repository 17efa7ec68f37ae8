/**
 * Reads a policy file, already parsed as JSON. Every mistake comes back with its path, what was expected and what stands
 * there; none throws.
 */
import type { z } from 'zod';
import type { CheckName } from './checks/index.ts';
import { builtInPolicy, type CheckSetting, changed, type Policy, policySchema, type SettingChange } from './policy.ts';

export interface PolicyProblem {
  /** Place in the file, such as `checks.gear-hold-pause.minSeconds`; empty for the file itself. */
  readonly path: string;
  /** What was expected there. */
  readonly expected: string;
  /** What stands there, as JSON, shortened. */
  readonly got: string;
}

export type PolicyResult = { readonly policy: Policy } | { readonly problems: readonly PolicyProblem[] };

/** The policy that a file asks for, or what is wrong with it. */
export function parsePolicy(json: unknown): PolicyResult {
  const parsed = policySchema.safeParse(json);
  if (!parsed.success) return { problems: parsed.error.issues.flatMap((issue) => problemsOf(issue, json)) };
  const crossed = crossedMetres(parsed.data);
  if (crossed.length > 0) return { problems: crossed };
  return { policy: policyOf(parsed.data, json) };
}

/** A problem as one sentence. */
export function problemSentence({ path, expected, got }: PolicyProblem): string {
  return `${path === '' ? 'The policy' : path}: expected ${expected}, but found ${got}.`;
}

type PolicyFile = z.infer<typeof policySchema>;

function policyOf(file: PolicyFile, json: unknown): Policy {
  // The schema sets its own order of keys; the output follows the order in the file.
  const inFile = Object.keys((json as { checks?: object }).checks ?? {});
  const named = inFile.map((name) => builtInPolicy.checks.find(({ check }) => check === name)!);
  const others = builtInPolicy.checks.filter(({ check }) => !inFile.includes(check));
  const changes = (file.checks ?? {}) as Partial<Record<CheckName, SettingChange>>;
  const checks: CheckSetting[] = [...named, ...others].map((setting) => changed(setting, changes[setting.check]));
  const overrides = (file.overrides ?? []).map(({ sites, vehicles, terminals, checks: asked }) => ({
    sites: sites ?? null,
    vehicles: vehicles ?? null,
    terminals: terminals ?? null,
    checks: withoutAbsent(asked) as Partial<Record<CheckName, SettingChange>>,
  }));
  return { version: 1, checks, overrides };
}

function withoutAbsent(record: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined));
}

/** `underMetres` past `clearMetres` would leave a stretch both under the trailer and clear of it. */
function crossedMetres(file: PolicyFile): PolicyProblem[] {
  const problems: PolicyProblem[] = [];
  const builtIn = builtInPolicy.checks.find(({ check }) => check === 'gear-hold-pause')!.limits;
  type Asked = { underMetres?: number; clearMetres?: number } | undefined;
  const base = file.checks?.['gear-hold-pause'] as Asked;
  const look = (asked: Asked, path: string) => {
    const under = asked?.underMetres ?? base?.underMetres ?? (builtIn.underMetres as number);
    const clear = asked?.clearMetres ?? base?.clearMetres ?? (builtIn.clearMetres as number);
    if (under <= clear) return;
    problems.push({
      path: `${path}.underMetres`,
      expected: `at most clearMetres, which is ${clear}`,
      got: String(under),
    });
  };
  look(base, 'checks.gear-hold-pause');
  for (const [index, override] of (file.overrides ?? []).entries()) {
    const asked = override.checks['gear-hold-pause'] as Asked;
    if (asked !== undefined) look(asked, `overrides[${index}].checks.gear-hold-pause`);
  }
  return problems;
}

function problemsOf(issue: z.core.$ZodIssue, json: unknown): PolicyProblem[] {
  if (issue.code !== 'unrecognized_keys') {
    return [{ path: pathOf(issue.path), expected: expectedBy(issue), got: shown(valueAt(json, issue.path)) }];
  }
  const known = knownAt(issue.path);
  return issue.keys.map((key) => ({
    path: pathOf([...issue.path, key]),
    expected: known === null ? 'no such key' : `one of ${known.join(', ')}`,
    got: `"${key}"`,
  }));
}

function expectedBy(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'invalid_type':
      return withArticle(issue.expected === 'record' ? 'object' : issue.expected);
    case 'invalid_value':
      return issue.values.length === 1
        ? JSON.stringify(issue.values[0])
        : `one of ${issue.values.map((v) => JSON.stringify(v)).join(', ')}`;
    case 'too_small':
      return issue.origin === 'number'
        ? `a number of ${issue.inclusive ? 'at least' : 'more than'} ${issue.minimum}`
        : `at least ${issue.minimum} ${issue.origin === 'array' ? 'entry' : 'character'}`;
    case 'too_big':
      return issue.origin === 'number' ? `a number of at most ${issue.maximum}` : `at most ${issue.maximum} entries`;
    default:
      return issue.message.replace(/^expected /, '');
  }
}

function withArticle(noun: string): string {
  return /^[aeiou]/.test(noun) ? `an ${noun}` : `a ${noun}`;
}

/** Keys that may stand at a path: those of the schema there. */
function knownAt(path: readonly PropertyKey[]): readonly string[] | null {
  const last = path.at(-1);
  if (path.length === 0) return ['version', 'checks', 'overrides'];
  if (last === 'checks') return builtInPolicy.checks.map(({ check }) => check);
  const setting = builtInPolicy.checks.find(({ check }) => check === last);
  if (setting !== undefined) return ['enabled', ...Object.keys(setting.limits), 'concern', 'urgency', 'sources'];
  return typeof last === 'number' ? ['sites', 'vehicles', 'terminals', 'checks'] : null;
}

function valueAt(json: unknown, path: readonly PropertyKey[]): unknown {
  let value = json;
  for (const key of path) value = (value as Record<PropertyKey, unknown> | null | undefined)?.[key];
  return value;
}

function pathOf(path: readonly PropertyKey[]): string {
  let text = '';
  for (const key of path) text += typeof key === 'number' ? `[${key}]` : text === '' ? String(key) : `.${String(key)}`;
  return text;
}

const longestShown = 60;

function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  const text = JSON.stringify(value) ?? String(value);
  return text.length <= longestShown ? text : `${text.slice(0, longestShown)}...`;
}
