/**
 * Text from files and figures, made fit for a terminal. Names in input files are other people's: a control character in
 * one must not reach the terminal.
 */

/** The text with control and direction characters spelled out, shortened to `max` characters. */
export function printable(text: string, max = 200): string {
  const safe = text.replace(/[\p{Cc}\p{Cf}\p{Cs}\u2028\u2029]/gu, (character) => {
    const code = character.codePointAt(0)!;
    return code <= 0xff ? `\\x${code.toString(16).padStart(2, '0')}` : `\\u{${code.toString(16)}}`;
  });
  const characters = Array.from(safe.length > 4 * max ? safe.slice(0, 4 * max) : safe);
  return characters.length <= max && safe.length <= 4 * max ? safe : `${characters.slice(0, max - 3).join('')}...`;
}

/** `1,234,567` */
export function whole(value: number): string {
  return Math.round(value)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, ',');
}

/** `1 row`, `2 rows`; the plural ends in s unless given. */
export function count(value: number, one: string, many = `${one}s`): string {
  return `${whole(value)} ${value === 1 ? one : many}`;
}

/** `a, b and 3 more`: at most `max` of the names, each printable. */
export function namesOf(names: Iterable<string>, max = 12): string {
  const all = [...names];
  const shown = all.slice(0, max).map((name) => printable(name, 60));
  if (all.length > max) return `${shown.join(', ')} and ${whole(all.length - max)} more`;
  return shown.join(', ');
}

/** A kind of episode in the plural. */
export function kindPlural(kind: string): string {
  return kind.endsWith('s') ? `${kind}es` : `${kind}s`;
}
