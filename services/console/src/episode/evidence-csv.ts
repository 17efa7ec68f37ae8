/** The readings around an episode as CSV, in the columns that gearhold itself reads: what is saved can be analysed again. */
import type { Evidence } from '../server/messages.ts';

export function evidenceCsv({ columns, times, driverIds }: Evidence, vehicleId: string): string {
  const lines = [['time', 'vehicleId', 'driverId', ...columns.map(({ signal }) => signal)]];
  for (const [row, time] of times.entries()) {
    const cells = columns.map(({ values }) => (values[row] === null ? '' : String(values[row])));
    lines.push([time, vehicleId, driverIds[row] ?? '', ...cells]);
  }
  return lines.map((cells) => `${cells.map(cell).join(',')}\r\n`).join('');
}

/** A cell by RFC 4180. */
function cell(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Hands a text to the browser as a file to be saved. */
export function saveText(text: string, name: string, type: string): void {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  link.click();
  URL.revokeObjectURL(address);
}
