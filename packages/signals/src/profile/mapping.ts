/** A source profile compiled to the mapping that the readers use. */
import { type SignalName, signalIndex, signalNames } from '../catalogue.ts';
import type { Mapping, SignalTarget } from '../intake/mapping.ts';
import { cellReader } from './cells.ts';
import type { SourceProfile } from './schema.ts';
import { timeReader } from './times.ts';

/** `profile` must have passed {@link sourceProfileSchema}. */
export function mappingOf(profile: SourceProfile): Mapping {
  const mark = profile.decimal.charCodeAt(0);
  const signals = new Map<string, SignalTarget[]>();
  for (const signal of signalNames) {
    const entry = profile.signals[signal as SignalName];
    if (entry === undefined) continue;
    const { unit, codes } = entry;
    const reader = cellReader(signal, { mark, notReported: profile.notReported, unit, codes });
    const targets = signals.get(entry.from) ?? [];
    targets.push({ signal: signalIndex[signal], reader });
    signals.set(entry.from, targets);
  }
  const driver = profile.driverId ?? profile.signals.driverId;
  const none = new Set(['', ...profile.notReported]);
  return {
    delimiter: profile.delimiter.charCodeAt(0),
    timeColumn: profile.time.column,
    time: timeReader(profile.time, mark),
    vehicleIdColumn: profile.vehicleId.column,
    driverIdColumn: driver !== undefined && 'column' in driver ? driver.column : null,
    signals,
    narrow:
      profile.signal === undefined || profile.value === undefined
        ? null
        : {
            channelColumn: profile.signal.column,
            valueColumn: profile.value.column,
            driverChannel: driver !== undefined && 'from' in driver ? driver.from : null,
          },
    isNotReported: (text) => none.has(text),
    lenientJson: true,
  };
}
