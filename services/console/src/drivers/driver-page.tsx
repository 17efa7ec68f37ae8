/** One driver's last 90 days, to be read before a talk. */
import { AnomalyList } from '../page/anomaly-list.tsx';
import { SeenSection } from '../seen/seen-section.tsx';
import { addressText } from '../shell/address.ts';

export function DriverPage({ driverId }: { driverId: string }) {
  return (
    <>
      <h1>Driver {driverId}</h1>
      <p>
        An anomaly opens a conversation; it is not by itself a ground for discipline. Some were somebody else's: each
        says whom it concerns.
      </p>
      <SeenSection by={{ driver: driverId }} concerns={['driver']} />
      <h2>The newest anomalies</h2>
      <AnomalyList by={{ driver: driverId, concern: 'driver', state: 'any', sort: 'time' }} />
      <p class="unprinted">
        <a data-inside href={addressText('/', { driver: driverId, concern: 'driver', state: 'any' })}>
          All of them, to be decided
        </a>{' '}
        <button type="button" onClick={() => print()}>
          Print
        </button>
      </p>
    </>
  );
}
