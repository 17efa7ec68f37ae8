/**
 * Rows drawn by hand for tests: each signal is a list with one value a row, the last one repeated, or a single value for
 * all rows. `null` = not reported. The engine speed differs from row to row unless drawn, so that none is a stale copy.
 */
import type { SignalName } from '@gearhold/signals';
import type { Row } from './row.ts';

type Drawn = Partial<Record<SignalName, number | readonly (number | null)[]>>;

/** Rows so many seconds apart; the first at `fromSeconds`. */
export function rowsEvery(seconds: number, count: number, drawn: Drawn, fromSeconds = 0): Row[] {
  return Array.from({ length: count }, (_, i) => {
    const row: { timeMs: number } & { [signal in SignalName]?: number } = {
      timeMs: (fromSeconds + i * seconds) * 1000,
      engineRpm: 600 + i / 8,
    };
    for (const [signal, values] of Object.entries(drawn) as [SignalName, number | readonly (number | null)[]][]) {
      const value = typeof values === 'number' ? values : values[Math.min(i, values.length - 1)];
      if (value === null) delete row[signal];
      else row[signal] = value;
    }
    return row;
  });
}

/** One value so many times: `...times(5, 0)`. */
export function times<T>(count: number, value: T): T[] {
  return Array.from({ length: count }, () => value);
}
