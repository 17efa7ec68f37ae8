/** Where in the console one is, as the address says it: so that a view can be sent to a colleague. */

export interface Address {
  readonly path: string;
  readonly query: Readonly<Record<string, string>>;
}

export function readAddress(path: string, search: string): Address {
  return { path, query: Object.fromEntries(new URLSearchParams(search)) };
}

/** The address as text; parts of the query that are empty are left out. */
export function addressText(path: string, query: Readonly<Record<string, string | undefined>> = {}): string {
  const given = Object.entries(query).filter(
    (part): part is [string, string] => part[1] !== undefined && part[1] !== '',
  );
  const search = new URLSearchParams(given).toString();
  return search === '' ? path : `${path}?${search}`;
}

/** The address of an episode, with the check that it was opened for. */
export function episodeAddress(episodeId: string, check?: string): string {
  return addressText(`/episodes/${encodeURIComponent(episodeId)}`, { check });
}
