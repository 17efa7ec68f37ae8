import { expect, it } from 'vitest';
import { evidenceCsv } from './evidence-csv.ts';

it('writes rows that gearhold reads again, an empty cell where nothing was reported', () => {
  const csv = evidenceCsv(
    {
      episodeId: 'e',
      startTime: '2026-03-02T12:00:00.000Z',
      endTime: '2026-03-02T12:00:01.000Z',
      times: ['2026-03-02T12:00:00.000Z', '2026-03-02T12:00:01.000Z'],
      driverIds: ['D "1", b', null],
      columns: [
        { signal: 'speedKph', unit: 'km/h', values: [0, null] },
        { signal: 'gear', unit: '1', values: [-1, 2] },
      ],
    },
    'T,1',
  );
  expect(csv).toBe(
    'time,vehicleId,driverId,speedKph,gear\r\n' +
      '2026-03-02T12:00:00.000Z,"T,1","D ""1"", b",0,-1\r\n' +
      '2026-03-02T12:00:01.000Z,"T,1",,,2\r\n',
  );
});
