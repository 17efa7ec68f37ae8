import { signalCount } from '@gearhold/signals';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { RowBlocks } from './row-blocks.ts';

it('hands on every row once, each vehicle in its order, whatever the size of a block', () => {
  const anyRow = fc.record({ vehicleId: fc.constantFrom('a', 'b', 'c'), driverId: fc.constantFrom(null, 'd', 'e') });
  fc.assert(
    fc.property(fc.array(anyRow, { maxLength: 50 }), fc.integer({ min: 1, max: 9 }), (rows, blockRows) => {
      const given: unknown[] = [];
      const blocks = new RowBlocks(
        {
          accept: (vehicleId, timeMs, driverId, values, offset) =>
            given.push({ vehicleId, timeMs, driverId, value: values[offset + signalCount - 1] }),
          finishVehicle: () => {},
          finish: () => {},
          breaks: 0,
        },
        blockRows,
      );
      const reused = new Float64Array(1 + signalCount);
      const added = rows.map(({ vehicleId, driverId }, timeMs) => {
        reused.fill(timeMs / 7);
        blocks.add(vehicleId, timeMs, driverId, reused, 1);
        return { vehicleId, timeMs, driverId, value: timeMs / 7 };
      });
      blocks.flush();
      const vehicles = [...new Set(rows.map((row) => row.vehicleId))];
      expect(blocks.vehicleCount).toBe(vehicles.length);
      expect(given).toHaveLength(added.length);
      const of = (list: unknown[], id: string) => list.filter((row) => (row as { vehicleId: string }).vehicleId === id);
      for (const id of vehicles) expect(of(given, id)).toEqual(of(added, id));
    }),
    { numRuns: 200 },
  );
});
