/** Entity tags of what was answered, for conditional requests by RFC 9110 section 13. */
import { createHash } from 'node:crypto';

/** A strong tag of the bytes sent. */
export function etagOf(body: string): string {
  return `"${createHash('sha256').update(body).digest('base64url').slice(0, 22)}"`;
}

/** Whether `If-None-Match` names the tag: by weak comparison, as section 13.1.2 asks. */
export function noneMatch(header: string | undefined, etag: string): boolean {
  return header !== undefined && names(header, etag);
}

/** Whether `If-Match` names the tag: by strong comparison, as section 13.1.1 asks. */
export function matches(header: string, etag: string): boolean {
  return header.trim() === '*' || header.split(',').some((tag) => tag.trim() === etag);
}

function names(header: string, etag: string): boolean {
  if (header.trim() === '*') return true;
  return header.split(',').some((tag) => tag.trim().replace(/^W\//, '') === etag);
}
