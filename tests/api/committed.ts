/** The OpenAPI document as it stands in the repository, in the parts that the tests of this folder look at. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

export interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly format?: string;
  readonly pattern?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: Schema | boolean;
  readonly items?: Schema;
  readonly prefixItems?: readonly Schema[];
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly allOf?: readonly Schema[];
}

export interface Parameter {
  readonly name: string;
  readonly in: string;
  readonly required?: boolean;
  readonly schema?: Schema;
}

export interface Answer {
  readonly $ref?: string;
  readonly headers?: Readonly<Record<string, unknown>>;
  readonly content?: Readonly<Record<string, { readonly schema?: Schema }>>;
}

export interface Operation {
  readonly operationId: string;
  readonly tags: readonly string[];
  readonly description?: string;
  readonly security?: readonly Readonly<Record<string, readonly string[]>>[];
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: {
    readonly required?: boolean;
    readonly content: Readonly<Record<string, { readonly schema?: Schema }>>;
  };
  readonly responses: Readonly<Record<string, Answer>>;
}

export interface ApiDocument {
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: {
    readonly schemas?: Readonly<Record<string, Schema>>;
    readonly responses?: Readonly<Record<string, Answer>>;
  };
}

const committedPath = join(import.meta.dirname, '../../schemas/openapi.json');

export function committedText(): string {
  return readFileSync(committedPath, 'utf8');
}

export function committedDocument(): ApiDocument {
  return JSON.parse(committedText());
}

/** Every operation with its address. */
export function operationsOf({ paths }: ApiDocument) {
  return Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method: method.toUpperCase(), operation })),
  );
}

/** What a reference points to; anything else as it is. */
export function resolved<T extends { readonly $ref?: string }>(document: ApiDocument, part: T): T {
  if (part.$ref === undefined) return part;
  const found = part.$ref
    .slice('#/'.length)
    .split('/')
    .reduce<unknown>((node, key) => (node as Record<string, unknown>)[key], document);
  return resolved(document, found as T);
}
