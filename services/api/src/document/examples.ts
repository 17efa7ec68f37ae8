/**
 * Examples of the reference page. A test runs each of them against a service that holds the demo fleet, so that none is ever
 * out of date.
 */

export interface Example {
  readonly operationId: string;
  readonly title: string;
  readonly method: 'GET' | 'POST' | 'PUT' | 'DELETE';
  /** With its query. */
  readonly path: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string;
}

export const examples: readonly Example[] = [
  {
    operationId: 'getSelf',
    title: 'What may this token?',
    method: 'GET',
    path: '/v1/self',
  },
  {
    operationId: 'issueToken',
    title: 'A token that may only send readings',
    method: 'POST',
    path: '/v1/tokens',
    headers: { 'content-type': 'application/json' },
    body: '{"name": "yard gateway", "scopes": ["ingest"], "terminals": null, "driverNames": false}',
  },
];

/** As a person types it at a shell: `$GEARHOLD` is the address of the service, `$TOKEN` a token. */
export function exampleCommand({ method, path, headers = {}, body }: Example): string {
  const lines = [`curl -sS ${method === 'GET' ? '' : `-X ${method} `}"$GEARHOLD${path}"`];
  lines.push('-H "Authorization: Bearer $TOKEN"');
  for (const [name, value] of Object.entries(headers)) lines.push(`-H '${name}: ${value}'`);
  if (body !== undefined) lines.push(`--data-binary '${body.replaceAll("'", `'\\''`)}'`);
  return lines.join(' \\\n  ');
}
