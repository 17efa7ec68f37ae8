/** What a person or token may, from a form's fields and in words. */

export const roles = [
  ['read', 'look'],
  ['review', 'look and decide'],
  ['ingest', 'send readings'],
  ['administer', 'everything'],
] as const;

type Scope = (typeof roles)[number][0];

export interface Grants {
  readonly scopes: readonly Scope[];
  /** null: all */
  readonly terminals: readonly string[] | null;
  readonly driverNames: boolean;
}

/** `role`, `terminals` (by comma; empty: all) and `driverNames` of a form; who decides also looks. */
export function grantsOf(fields: FormData): Grants {
  const role = String(fields.get('role')) as Scope;
  const terminals = String(fields.get('terminals') ?? '')
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '');
  return {
    scopes: role === 'review' ? ['read', 'review'] : [role],
    terminals: terminals.length === 0 ? null : terminals,
    driverNames: fields.get('driverNames') !== null,
  };
}

/** `look, decide; terminals north, south; drivers not named` */
export function grantsText({ scopes, terminals, driverNames }: Grants): string {
  const words = { read: 'look', review: 'decide', ingest: 'send readings', administer: 'everything' };
  return [
    scopes.map((scope) => words[scope]).join(', '),
    terminals === null ? 'all terminals' : `terminals ${terminals.join(', ')}`,
    ...(driverNames ? [] : ['drivers not named']),
  ].join('; ');
}
