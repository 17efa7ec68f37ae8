/**
 * The generated document names a schema that is taken in `XInput` and one that is given out `X`, and lists every schema that
 * exists. Here those that no address uses are left out, and `XInput` becomes `X` where no other `X` is given out.
 */

interface Document {
  readonly paths?: object;
  readonly components?: { readonly schemas?: Readonly<Record<string, unknown>> };
}

const prefix = '#/components/schemas/';

export function tidied<T extends Document>(document: T): T {
  const schemas = document.components?.schemas ?? {};
  const used = reachable(document.paths ?? {}, schemas);
  const rename = new Map<string, string>();
  for (const name of used) {
    const plain = name.replace(/Input$/, '');
    if (plain !== name && !used.has(plain)) rename.set(name, plain);
  }
  const kept = [...used].map((name) => [rename.get(name) ?? name, schemas[name]] as const);
  const sorted = Object.fromEntries(kept.sort(([a], [b]) => (a < b ? -1 : 1)));
  const whole = { ...document, components: { ...document.components, schemas: sorted } };
  return JSON.parse(JSON.stringify(whole), (key, value) => {
    if (key !== '$ref' || typeof value !== 'string' || !value.startsWith(prefix)) return value;
    const name = value.slice(prefix.length);
    return prefix + (rename.get(name) ?? name);
  }) as T;
}

function reachable(start: unknown, schemas: Readonly<Record<string, unknown>>): Set<string> {
  const found = new Set<string>();
  const visit = (value: unknown): void => {
    if (value === null || typeof value !== 'object') return;
    for (const [key, child] of Object.entries(value)) {
      if (key === '$ref' && typeof child === 'string' && child.startsWith(prefix)) {
        const name = child.slice(prefix.length);
        if (!found.has(name)) {
          found.add(name);
          visit(schemas[name]);
        }
      } else visit(child);
    }
  };
  visit(start);
  return found;
}
