/**
 * One line of CSV by RFC 4180. Text that a spreadsheet would take for a formula gets an apostrophe before it (advice of the OWASP
 * Foundation against CSV injection, from memory): ids come from outside.
 */
export function csvLine(cells: readonly (string | number | boolean | null)[]): string {
  return `${cells.map(cell).join(',')}\r\n`;
}

function cell(value: string | number | boolean | null): string {
  if (value === null) return '';
  if (typeof value !== 'string') return String(value);
  const text = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
