/**
 * Examples of the reference page. A test runs each of them against a service that holds the demo fleet, so that none is ever
 * out of date. A word such as `$EPISODE` stands for an id that a list gave.
 */

export interface Example {
  readonly operationId: string;
  readonly title: string;
  readonly method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
  /** With its query. */
  readonly path: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string;
}

const json = { 'content-type': 'application/json' };

const get = (operationId: string, title: string, path: string, headers?: Example['headers']): Example => ({
  operationId,
  title,
  method: 'GET',
  path,
  ...(headers !== undefined && { headers }),
});

const send = (
  method: 'POST' | 'PUT' | 'PATCH',
  operationId: string,
  title: string,
  path: string,
  body: string,
): Example => ({ operationId, title, method, path, headers: json, body });

export const examples: readonly Example[] = [
  get('getSelf', 'What may this token?', '/v1/self'),
  get(
    'listAnomalies',
    'What is not settled yet, the gravest first',
    '/v1/anomalies?state=unsettled&sort=gravity&limit=20',
  ),
  get('listAnomalies', 'What concerns the shop, as a table', '/v1/anomalies?concern=shop', { accept: 'text/csv' }),
  get('getAnomaly', 'One anomaly', '/v1/anomalies/$ANOMALY'),
  send(
    'POST',
    'review',
    'It is so, and is to be talked over',
    '/v1/reviews',
    '{"anomalyIds": ["$ANOMALY"], "action": "confirm"}',
  ),
  send(
    'POST',
    'review',
    'It was something else',
    '/v1/reviews',
    '{"anomalyIds": ["$ANOMALY"], "action": "dismiss", "reason": "the truck was being tested by the shop"}',
  ),
  get('listReviews', 'What was decided on it, and by whom', '/v1/anomalies/$ANOMALY/reviews'),
  get(
    'listEpisodes',
    'The couplings of a truck on a day',
    '/v1/episodes?vehicle=$VEHICLE&kind=coupling&since=2026-03-02T00:00:00-06:00&until=2026-03-03T00:00:00-06:00',
  ),
  get('listEpisodes', 'Everything there is, streamed', '/v1/episodes?state=any', { accept: 'application/x-ndjson' }),
  get('getEpisode', 'One episode with its checks', '/v1/episodes/$EPISODE'),
  get('getEvidence', 'The readings that it rests on', '/v1/episodes/$EPISODE/evidence'),
  get('getEpisodeHistory', 'What was said of it before', '/v1/episodes/$EPISODE/history'),
  get('listChecks', 'What could not be judged', '/v1/checks?outcome=undetermined&check=gear-hold-pause&limit=50'),
  get('listChanges', 'What changed, from the beginning', '/v1/changes?limit=100'),
  get('listVehicles', 'Trucks', '/v1/vehicles?limit=10'),
  get('getVehicle', 'What a truck reports and what was learned of it', '/v1/vehicles/$VEHICLE'),
  send(
    'PUT',
    'putVehicle',
    'State what is known of a truck',
    '/v1/vehicles/T-900',
    '[{"use": "road", "driveSuspension": "air", "terminal": "cairn", "levels": {"loadedKpa": 420}}]',
  ),
  get('listSites', 'Places', '/v1/sites'),
  get('getSite', 'One place', '/v1/sites/$SITE'),
  send(
    'PUT',
    'putSite',
    'State a place',
    '/v1/sites/quarry',
    '{"siteId": "quarry", "zone": "America/Chicago", "surface": "gravel", ' +
      '"circle": {"latitude": 41.2, "longitude": -95.8, "radiusM": 200}}',
  ),
  send(
    'PUT',
    'putDriver',
    'State a driver who went to another terminal',
    '/v1/drivers/D-900',
    '{"name": "A driver", "assignments": [{"terminal": "cairn", "until": "2026-03-02"}, ' +
      '{"terminal": "larch", "from": "2026-03-02"}]}',
  ),
  get('listDrivers', 'Drivers', '/v1/drivers'),
  get('listPolicies', 'What holds now, held before, and is drafted', '/v1/policies'),
  send(
    'POST',
    'draftPolicy',
    'Draft a policy that asks for a longer pause',
    '/v1/policies',
    '{"name": "longer pause", "document": {"version": 1, "checks": {"gear-hold-pause": {"minSeconds": 45}}}}',
  ),
  get('comparePolicy', 'A draft compared with what is in force', '/v1/policies/$DRAFT/difference'),
  {
    operationId: 'sendReadings',
    title: 'Two readings; the same key makes it safe to send them again',
    method: 'POST',
    path: '/v1/readings',
    headers: { 'content-type': 'text/csv', 'idempotency-key': 'T-900-2026-03-02-1' },
    body: 'time,vehicleId,speedKph,suspensionKpa\n2026-03-02T11:00:00Z,T-900,12,60\n2026-03-02T11:00:01Z,T-900,11,62\n',
  },
  send(
    'POST',
    'previewProfile',
    "Try a profile on the first rows of somebody else's file",
    '/v1/profiles/preview',
    '{"profile": {"time": {"column": "Stamp"}, "vehicleId": {"column": "Unit"}, "signals": {"speedKph": ' +
      '{"from": "Speed", "unit": "mph"}}}, "text": "Stamp,Unit,Speed\\n2026-03-02T11:00:00Z,T-900,10\\n"}',
  ),
  send(
    'PUT',
    'putProfile',
    'Keep it under a name',
    '/v1/profiles/yard-feed',
    '{"time": {"column": "Stamp"}, "vehicleId": {"column": "Unit"}, "signals": {"speedKph": {"from": "Speed", "unit": "mph"}}}',
  ),
  {
    operationId: 'sendReadings',
    title: 'Readings with the columns of a profile that is kept',
    method: 'POST',
    path: '/v1/readings?profile=yard-feed',
    headers: { 'content-type': 'text/csv' },
    body: 'Stamp,Unit,Speed\n2026-03-02T11:00:00Z,T-900,10\n',
  },
  get('listProfiles', 'Profiles that are kept', '/v1/profiles'),
  get('getProfile', 'One profile', '/v1/profiles/yard-feed'),
  get('listFiles', 'What came in', '/v1/files?limit=10'),
  get('getFile', 'One file or batch', '/v1/files/$FILE'),
  get('listRejects', 'Its rejected rows', '/v1/files/$FILE/rejects'),
  get('listDigests', 'The daily mails', '/v1/digests'),
  send(
    'POST',
    'addWebhook',
    'Tell what is urgent to an address',
    '/v1/webhooks',
    '{"name": "duty desk", "url": "https://example.org/hook", "filter": {"urgencies": ["urgent"]}}',
  ),
  get('listWebhooks', 'Webhooks', '/v1/webhooks'),
  send(
    'POST',
    'issueToken',
    'A token that may only send readings',
    '/v1/tokens',
    '{"name": "yard gateway", "scopes": ["ingest"], "terminals": null, "driverNames": false}',
  ),
  get('listTokens', 'Tokens, never their secrets', '/v1/tokens'),
  send(
    'POST',
    'admitPerson',
    'Let a trainer of one terminal in',
    '/v1/people',
    '{"login": "trainer", "name": "A trainer", "scopes": ["read", "review"], "terminals": ["cairn"], "driverNames": true}',
  ),
  get('listPeople', 'People who may sign in', '/v1/people'),
  get('listAudit', 'Who read the evidence of an episode', '/v1/audit?subject=episode/$EPISODE'),
];

/** As a person types it at a shell: `$GEARHOLD` is the address of the service, `$TOKEN` a token. */
export function exampleCommand({ method, path, headers = {}, body }: Example): string {
  const lines = [`curl -sS ${method === 'GET' ? '' : `-X ${method} `}"$GEARHOLD${path}"`];
  lines.push('-H "Authorization: Bearer $TOKEN"');
  for (const [name, value] of Object.entries(headers)) lines.push(`-H '${name}: ${value}'`);
  if (body !== undefined) lines.push(`--data-binary '${quoted(body)}'`);
  return lines.join(' \\\n  ');
}

/** Within single quotes of a shell, with ids left to it. */
function quoted(body: string): string {
  return body.replaceAll("'", `'\\''`).replaceAll(/\$[A-Z]+/g, (id) => `'"${id}"'`);
}
