/** The filters of the morning list, as they stand in its address and as they are asked of the service. */
import { withQuery } from '../server/ask.ts';

/** Names of the filters that the address may carry; they are those of `GET /v1/anomalies`. */
const filterNames = ['state', 'site', 'concern', 'urgency', 'check', 'vehicle', 'driver', 'terminal'] as const;

export type Query = Readonly<Record<string, string | undefined>>;

const pageSize = 100;

/** What of an address is a filter. */
export function filtersOf(query: Query): Query {
  return Object.fromEntries(filterNames.flatMap((name) => (query[name] ? [[name, query[name]]] : [])));
}

/** The question for a page: what is not settled, the gravest first, unless the address says otherwise. */
export function anomaliesAsked(query: Query): string {
  const { state = 'unsettled', ...others } = filtersOf(query);
  return withQuery('/v1/anomalies', { ...others, state, sort: 'gravity', limit: pageSize, cursor: query.after });
}

/** The question for what could not be judged: the newest thousand under the filters that checks know. */
export function unjudgedAsked(query: Query): string {
  const { site, check, vehicle, driver, terminal } = filtersOf(query);
  return withQuery('/v1/checks', { outcome: 'undetermined', limit: 1000, site, check, vehicle, driver, terminal });
}
