/**
 * The limits that the document states of every text, list and number. Where a schema names none, the largest body that is read
 * bounds it: what came in by the API, or stands in one answer for a person to read, is never longer.
 */

/** Bytes of a body of a route that names no other limit; no text has more characters, and no list more entries. */
export const bodyLimit = 1_048_576;

/** Bytes of a body that is read as it arrives, as sent. */
export const streamedBodyLimit = 32 * 1024 * 1024;

type Node = Record<string, unknown>;

const int32 = { minimum: -(2 ** 31), maximum: 2 ** 31 - 1 };

/** Changes schemas in place, wherever they stand in the document. */
export function bounded(value: unknown): void {
  if (value === null || typeof value !== 'object') return;
  const node = value as Node;
  if (isOf(node, 'string') && !['maxLength', 'enum', 'const'].some((limit) => limit in node)) {
    node.maxLength = node.format === 'date' ? 10 : bodyLimit;
  }
  if (isOf(node, 'array')) boundedList(node);
  if (isOf(node, 'integer') && !('format' in node)) {
    const { minimum, maximum } = node as { minimum?: number; maximum?: number };
    const small = minimum !== undefined && minimum >= int32.minimum && maximum !== undefined;
    node.format = small && maximum <= int32.maximum ? 'int32' : 'int64';
  }
  for (const child of Object.values(node)) bounded(child);
}

function isOf({ type }: Node, name: string): boolean {
  return type === name || (Array.isArray(type) && type.includes(name));
}

function boundedList(node: Node): void {
  if (!('maxItems' in node)) node.maxItems = bodyLimit;
  // Generators of clients expect a schema for the entries of a tuple; those that it lists have one of their own.
  const { prefixItems } = node as { prefixItems?: readonly Node[] };
  if (prefixItems !== undefined && node.items === false) {
    const types = new Set(prefixItems.map(({ type }) => type));
    node.items = types.size === 1 ? { type: [...types][0] } : {};
  }
}
