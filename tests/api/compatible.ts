/**
 * Whether a document keeps what another one promised: every address, parameter and field stays, with its type and meaning, and
 * nothing more is asked. Additions pass. What is sent may be asked less of, what is answered may say more.
 */
import { type ApiDocument, type Operation, type Parameter, resolved, type Schema } from './committed.ts';

type Direction = 'sent' | 'answered';

interface Comparison {
  readonly promised: ApiDocument;
  readonly now: ApiDocument;
  readonly direction: Direction;
  /** Pairs of references that are being compared. */
  readonly open: ReadonlySet<string>;
}

/** A sentence for every promise that is broken. */
export function brokenPromises(promised: ApiDocument, now: ApiDocument): string[] {
  return Object.entries(promised.paths).flatMap(([path, methods]) =>
    Object.entries(methods).flatMap(([method, before]) => {
      const place = `${method.toUpperCase()} ${path}`;
      const after = now.paths[path]?.[method];
      if (after === undefined) return [`${place}: is gone`];
      return operationBreaks(promised, now, before, after).map((text) => `${place} ${text}`);
    }),
  );
}

function operationBreaks(promised: ApiDocument, now: ApiDocument, before: Operation, after: Operation): string[] {
  const sent: Comparison = { promised, now, direction: 'sent', open: new Set() };
  const answered: Comparison = { ...sent, direction: 'answered' };
  const broken: string[] = [];
  if (before.operationId !== after.operationId) broken.push(`operationId: ${before.operationId} is gone`);
  for (const scheme of (before.security ?? []).flatMap(Object.keys)) {
    if (!(after.security ?? []).some((option) => scheme in option)) broken.push(`security: ${scheme} is gone`);
  }
  if ((before.security ?? []).length === 0 && (after.security ?? []).length > 0) broken.push('security: was open');
  broken.push(...parameterBreaks(sent, before.parameters ?? [], after.parameters ?? []));
  broken.push(...bodyBreaks(sent, before, after));
  for (const [status, reference] of Object.entries(before.responses)) {
    if (!status.startsWith('2')) continue;
    if (after.responses[status] === undefined) {
      broken.push(`${status}: is gone`);
      continue;
    }
    const content = resolved(now, after.responses[status]).content ?? {};
    for (const [type, { schema }] of Object.entries(resolved(promised, reference).content ?? {})) {
      broken.push(...within(`${status} ${type}`, compare(answered, schema, content[type]?.schema)));
    }
  }
  return broken;
}

function parameterBreaks(on: Comparison, before: readonly Parameter[], after: readonly Parameter[]): string[] {
  const same = (one: Parameter) => (other: Parameter) => other.in === one.in && other.name === one.name;
  return [
    ...before.flatMap((parameter) => {
      const name = `${parameter.in} ${parameter.name}`;
      const found = after.find(same(parameter));
      if (found === undefined) return [`${name}: is gone`];
      if (found.required === true && parameter.required !== true) return [`${name}: is required now`];
      return within(name, compare(on, parameter.schema, found.schema));
    }),
    ...after
      .filter((parameter) => parameter.required === true && !before.some(same(parameter)))
      .map((parameter) => `${parameter.in} ${parameter.name}: is new and required`),
  ];
}

function bodyBreaks(on: Comparison, before: Operation, after: Operation): string[] {
  if (after.requestBody?.required === true && before.requestBody?.required !== true) return ['body: is required now'];
  return Object.entries(before.requestBody?.content ?? {}).flatMap(([type, { schema }]) =>
    within(`body ${type}`, compare(on, schema, after.requestBody?.content[type]?.schema)),
  );
}

function within(place: string, broken: readonly string[]): string[] {
  return broken.map((text) => (/^[.[]/.test(text) ? `${place}${text}` : `${place}: ${text}`));
}

function compare(on: Comparison, promised: Schema | undefined, now: Schema | undefined): string[] {
  if (promised === undefined) return [];
  if (now === undefined) return ['is gone'];
  const pair = `${promised.$ref} ${now.$ref}`;
  if (promised.$ref !== undefined && on.open.has(pair)) return [];
  const inside = promised.$ref === undefined ? on : { ...on, open: new Set([...on.open, pair]) };
  const before = resolved(on.promised, promised);
  const after = resolved(on.now, now);
  const choices = choicesOf(before);
  if (choices !== null || choicesOf(after) !== null) {
    return choiceBreaks(inside, choices ?? [before], choicesOf(after) ?? [after]);
  }
  return [
    ...typeBreaks(on.direction, before, after),
    ...valueBreaks(on.direction, before, after),
    ...partBreaks(inside, before, after),
  ];
}

function choicesOf({ anyOf, oneOf }: Schema): readonly Schema[] | null {
  return anyOf ?? oneOf ?? null;
}

/** What may be sent must still fit one choice; what is answered must fit one that was promised, and none is dropped. */
function choiceBreaks(on: Comparison, before: readonly Schema[], after: readonly Schema[]): string[] {
  const best = (breaks: readonly string[][]) =>
    breaks.reduce((least, one) => (one.length < least.length ? one : least), breaks[0] ?? ['is gone']);
  const kept = before
    .filter((one) => on.direction === 'sent' || resolved(on.promised, one).type !== 'null')
    .flatMap((one) => best(after.map((other) => compare(on, one, other))));
  if (on.direction === 'sent') return kept;
  const added = after.flatMap((other) => best(before.map((one) => compare(on, one, other))));
  return [...new Set([...kept, ...added])];
}

const typesOf = ({ type }: Schema): readonly string[] | null =>
  type === undefined ? null : typeof type === 'string' ? [type] : type;

function typeBreaks(direction: Direction, before: Schema, after: Schema): string[] {
  const [wide, narrow] = direction === 'sent' ? [typesOf(after), typesOf(before)] : [typesOf(before), typesOf(after)];
  const covers = (type: string) => wide!.includes(type) || (type === 'integer' && wide!.includes('number'));
  const fits = wide === null || narrow?.every(covers);
  return fits
    ? []
    : [`was ${typesOf(before)?.join(' or ') ?? 'anything'}, is ${typesOf(after)?.join(' or ') ?? 'anything'}`];
}

function valueBreaks(
  direction: Direction,
  before: Schema & { default?: unknown },
  after: Schema & { default?: unknown },
): string[] {
  const broken: string[] = [];
  const values = (schema: Schema) => (schema.const === undefined ? schema.enum : [schema.const]);
  const [promised, now] = [values(before), values(after)];
  if (now !== undefined) {
    if (promised === undefined && direction === 'sent') broken.push('takes only some values now');
    for (const value of promised ?? []) if (!now.includes(value)) broken.push(`${JSON.stringify(value)} is gone`);
  }
  for (const key of ['format', 'pattern'] as const) {
    const eased = direction === 'sent' ? after[key] === undefined : before[key] === undefined;
    if (!eased && before[key] !== after[key]) broken.push(`${key} was ${before[key]}, is ${after[key]}`);
  }
  if (direction === 'answered') return broken;
  if (JSON.stringify(before.default) !== JSON.stringify(after.default)) broken.push('has another default');
  for (const key of ['minimum', 'minLength', 'minItems'] as const) {
    if ((after[key] ?? -Infinity) > Math.max(before[key] ?? -Infinity, key === 'minimum' ? -Infinity : 0)) {
      broken.push(`${key} was ${before[key]}, is ${after[key]}`);
    }
  }
  for (const key of ['maximum', 'maxLength', 'maxItems'] as const) {
    if ((after[key] ?? Infinity) < (before[key] ?? Infinity))
      broken.push(`${key} was ${before[key]}, is ${after[key]}`);
  }
  return broken;
}

function partBreaks(on: Comparison, before: Schema, after: Schema): string[] {
  const broken: string[] = [];
  for (const [name, field] of Object.entries(before.properties ?? {})) {
    const held = before.required?.includes(name) === true;
    const holds = after.required?.includes(name) === true;
    if (on.direction === 'sent' && holds && !held) broken.push(`.${name}: is required now`);
    if (on.direction === 'answered' && held && !holds) broken.push(`.${name}: may be left out now`);
    broken.push(...within(`.${name}`, compare(on, field, after.properties?.[name])));
  }
  if (on.direction === 'sent') {
    const added = (after.required ?? []).filter((name) => before.properties?.[name] === undefined);
    broken.push(...added.map((name) => `.${name}: is new and required`));
    if (before.additionalProperties !== false && after.additionalProperties === false && before.type === 'object') {
      broken.push('takes no further fields now');
    }
  }
  if (typeof before.additionalProperties === 'object' && typeof after.additionalProperties === 'object') {
    broken.push(...within('.*', compare(on, before.additionalProperties, after.additionalProperties)));
  }
  if (before.items !== undefined) broken.push(...within('[]', compare(on, before.items, after.items)));
  for (const [at, part] of (before.prefixItems ?? []).entries()) {
    broken.push(...within(`[${at}]`, compare(on, part, after.prefixItems?.[at])));
  }
  return broken;
}

const words = new Set([
  'description',
  'summary',
  'tags',
  'info',
  'headers',
  'title',
  'examples',
  'license',
  'contact',
  'servers',
]);

/** What of a document is promised: everything but its words, and problems, which all have one form. */
export function promiseOf(document: ApiDocument): string {
  const isName = new Set<unknown>();
  const text = JSON.stringify(
    document,
    function keep(key, value) {
      if (!isName.has(this) && words.has(key)) return undefined;
      if (key === 'properties' && !isName.has(this)) isName.add(value);
      if (key === 'responses' && !isName.has(this) && !('schemas' in this)) {
        return Object.fromEntries(Object.entries(value).filter(([status]) => status.startsWith('2')));
      }
      return value;
    },
    1,
  );
  return `${text}\n`;
}
