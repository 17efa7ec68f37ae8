/** The reference page: the OpenAPI document in words, address by address, with the examples that a test runs. */
import { type Example, exampleCommand } from '../document/examples.ts';
import { escaped, page } from './page.ts';

interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly description?: string;
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly format?: string;
  readonly default?: unknown;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly items?: Schema;
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly additionalProperties?: Schema | boolean;
}

interface Parameter {
  readonly name: string;
  readonly in: string;
  readonly required?: boolean;
  readonly description?: string;
  readonly schema?: Schema;
}

interface Operation {
  readonly operationId?: string;
  readonly summary?: string;
  readonly description?: string;
  readonly tags?: readonly string[];
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: { readonly content?: Readonly<Record<string, { readonly schema?: Schema }>> };
  readonly responses?: Readonly<
    Record<string, { readonly content?: Readonly<Record<string, { readonly schema?: Schema }>> }>
  >;
}

/** The parts of an OpenAPI document that the page tells. */
export interface ReferenceDocument {
  readonly info: { readonly title: string; readonly version: string; readonly description?: string };
  readonly paths?: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components?: { readonly schemas?: Readonly<Record<string, Schema>> };
}

export function referencePage(document: ReferenceDocument, examples: readonly Example[]): string {
  const operations = Object.entries(document.paths ?? {}).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method: method.toUpperCase(), operation })),
  );
  const byTag = Map.groupBy(operations, ({ operation }) => operation.tags?.[0] ?? 'Other');
  const contents = [...byTag.keys()].map((tag) => `<a href="#${anchor(tag)}">${escaped(tag)}</a>`).join(', ');
  const parts = [...byTag].map(
    ([tag, all]) => `<h2 id="${anchor(tag)}">${escaped(tag)}</h2>${all.map((one) => told(one, examples)).join('')}`,
  );
  const schemas = Object.entries(document.components?.schemas ?? {}).map(
    ([name, schema]) => `<h3 id="schema-${escaped(name)}">${escaped(name)}</h3>${described(schema)}${fields(schema)}`,
  );
  return page(
    `${document.info.title} ${document.info.version}`,
    paragraphs(document.info.description ?? '') +
      `<p>${contents}, <a href="#schemas">Schemas</a>. For programs: <a href="/v1/openapi.json">openapi.json</a>. ` +
      'Errors: <a href="/problems">problems</a>.</p>' +
      `${parts.join('')}<h2 id="schemas">Schemas</h2>${schemas.join('')}`,
  );
}

function told(
  { path, method, operation }: { path: string; method: string; operation: Operation },
  examples: readonly Example[],
): string {
  const shown = examples.filter(({ operationId }) => operationId === operation.operationId);
  const parameters = (operation.parameters ?? []).map(
    ({ name, in: where, required, description, schema }) =>
      `<tr><td><code>${escaped(name)}</code></td><td>${where}${required ? ', required' : ''}</td>` +
      `<td>${kindOf(schema)}. ${inline(description ?? schema?.description ?? '')}${fallback(schema)}</td></tr>`,
  );
  const bodies = Object.entries(operation.requestBody?.content ?? {}).map(
    ([type, { schema }]) =>
      `<li>${escaped(type)}: ${kindOf(schema)}${schema?.description ? `. ${inline(schema.description)}` : ''}</li>`,
  );
  const answers = Object.entries(operation.responses ?? {})
    .filter(([status]) => status < '400')
    .flatMap(([status, { content }]) => {
      const kinds = Object.entries(content ?? {}).map(
        ([type, { schema }]) =>
          `${escaped(type)}: ${schema?.description && !schema.$ref ? inline(schema.description) : kindOf(schema)}`,
      );
      return kinds.length === 0 ? [`<li>${status}</li>`] : kinds.map((kind) => `<li>${status} ${kind}</li>`);
    });
  return (
    `<h3 id="${escaped(operation.operationId ?? '')}">${escaped(operation.summary ?? '')}</h3>` +
    `<p><code>${method} ${escaped(path)}</code></p>` +
    (operation.description !== operation.summary ? paragraphs(operation.description ?? '') : '') +
    (parameters.length > 0 ? `<table>${parameters.join('')}</table>` : '') +
    (bodies.length > 0 ? `<p>Body:</p><ul>${bodies.join('')}</ul>` : '') +
    `<p>Answers:</p><ul>${answers.join('')}</ul>` +
    shown.map((example) => `<p>${escaped(example.title)}</p><pre>${escaped(exampleCommand(example))}</pre>`).join('')
  );
}

function fields(schema: Schema): string {
  const rows = Object.entries(schema.properties ?? {}).map(
    ([name, field]) =>
      `<tr><td><code>${escaped(name)}</code></td><td>${kindOf(field)}${schema.required?.includes(name) ? '' : ', optional'}</td>` +
      `<td>${inline(field.description ?? '')}${fallback(field)}</td></tr>`,
  );
  return rows.length > 0 ? `<table>${rows.join('')}</table>` : `<p>${kindOf(schema)}</p>`;
}

function kindOf(schema: Schema | undefined): string {
  if (schema === undefined) return '';
  if (schema.$ref !== undefined) {
    const name = escaped(schema.$ref.split('/').at(-1)!);
    return `<a href="#schema-${name}">${name}</a>`;
  }
  const choices = schema.anyOf ?? schema.oneOf;
  if (choices !== undefined) return choices.map(kindOf).join(' or ');
  if (schema.enum !== undefined) {
    return schema.enum.map((value) => `<code>${escaped(String(value))}</code>`).join(', ');
  }
  if (schema.const !== undefined) return `<code>${escaped(String(schema.const))}</code>`;
  const type = typeof schema.type === 'string' ? schema.type : (schema.type?.join(' or ') ?? 'anything');
  if (schema.items !== undefined) return `list of ${kindOf(schema.items)}`;
  return schema.format === undefined ? type : `${type} (${escaped(schema.format)})`;
}

function fallback(schema: Schema | undefined): string {
  if (schema?.default === undefined) return '';
  return ` If left out: <code>${escaped(JSON.stringify(schema.default))}</code>.`;
}

function described({ description }: Schema): string {
  return description === undefined ? '' : `<p>${inline(description)}</p>`;
}

/** One sentence or several, ended. */
function inline(text: string): string {
  const ended = text === '' || /[.:;]$/.test(text) ? text : `${text}.`;
  return escaped(ended)
    .replaceAll(/\*\*(.+?)\*\*/g, '<strong>$1</strong>')
    .replaceAll(/`(.+?)`/g, '<code>$1</code>');
}

/** Paragraphs, bold and code of the document's own descriptions, which are the only Markdown used there. */
function paragraphs(text: string): string {
  return text
    .split(/\n\n+/)
    .map((paragraph) => `<p>${inline(paragraph)}</p>`)
    .join('');
}

function anchor(tag: string): string {
  return `tag-${tag.toLowerCase().replaceAll(/[^a-z]+/g, '-')}`;
}
