/**
 * One try to deliver: a POST to an address that may be reached, no redirect followed, at most ten seconds, the answer's body
 * ignored beyond what frees the connection.
 */
import { request as httpRequest } from 'node:http';
import { request as httpsRequest } from 'node:https';
import { type Allowed, guardedLookup, refuseLiteral } from './addresses.ts';

export interface Posted {
  /** Of the answer; null where none came. */
  readonly status: number | null;
  /** Why it counts as not delivered; null where it was. */
  readonly failure: string | null;
}

const limitMs = 10_000;

/** Any answer from 200 to 299 is a delivery. Never throws. */
export async function post(
  url: string,
  headers: Readonly<Record<string, string>>,
  body: string,
  allowed: Allowed,
): Promise<Posted> {
  try {
    const status = await send(new URL(url), headers, body, allowed);
    const delivered = status >= 200 && status < 300;
    return { status, failure: delivered ? null : `answered with status ${status}` };
  } catch (error) {
    return { status: null, failure: error instanceof Error ? error.message : String(error) };
  }
}

function send(url: URL, headers: Readonly<Record<string, string>>, body: string, allowed: Allowed): Promise<number> {
  refuseLiteral(url.hostname, allowed);
  const bytes = Buffer.from(body);
  const start = url.protocol === 'https:' ? httpsRequest : httpRequest;
  return new Promise((resolve, reject) => {
    const request = start(url, {
      method: 'POST',
      headers: { ...headers, 'content-type': 'application/json', 'content-length': bytes.length },
      lookup: guardedLookup(allowed),
      signal: AbortSignal.timeout(limitMs),
      agent: false,
    });
    request.on('error', (error) => {
      reject(error.name === 'AbortError' ? new Error(`no answer within ${limitMs / 1000} s`) : error);
    });
    request.on('response', (response) => {
      resolve(response.statusCode ?? 0);
      response.destroy();
    });
    request.end(bytes);
  });
}
