/** One truck: what it reports and what it does not, what was learned of it, and which checks that leaves open for ever. */

import { capital, figureText, inUnits, type Units } from '@gearhold/look';
import { checkName } from '../page/names.ts';
import { Waiting } from '../page/refused.tsx';
import { Scroll } from '../page/scroll.tsx';
import { SeenSection } from '../seen/seen-section.tsx';
import type { Vehicle } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { addressText } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';
import { instant } from './trucks-page.tsx';
import { plainSignals, reachWords, signalName } from './words.ts';

type Learned = NonNullable<Vehicle['learned']>;

export function TruckPage({ vehicleId }: { vehicleId: string }) {
  const { answer, refusal } = useAnswer<Vehicle>(`/v1/vehicles/${encodeURIComponent(vehicleId)}`);
  return (
    <>
      <h1>Truck {vehicleId}</h1>
      {answer === null ? <Waiting refusal={refusal} /> : <Told vehicle={answer} />}
    </>
  );
}

function Told({
  vehicle: { vehicleId, learned, firstReadingTime, lastReadingTime, analysedUntil },
}: {
  vehicle: Vehicle;
}) {
  const { units } = useSurroundings();
  return (
    <>
      <p class="soft">
        Readings from {instant(firstReadingTime)} to {instant(lastReadingTime)}, analysed until {instant(analysedUntil)}
        .
      </p>
      <p>
        <a data-inside href={addressText('/', { vehicle: vehicleId, state: 'any' })}>
          Its anomalies and what could not be judged
        </a>
      </p>
      {learned === null ? (
        <p>Nothing was learned of it yet: its readings have not been analysed.</p>
      ) : (
        <>
          <Unjudgeable learned={learned} />
          <SeenSection by={{ vehicle: vehicleId }} />
          <Signals learned={learned} />
          <Levels learned={learned} units={units} />
        </>
      )}
    </>
  );
}

function Unjudgeable({ learned }: { learned: Learned }) {
  const held = learned.checks.filter(({ reach }) => reachWords[reach] !== undefined);
  return (
    <section>
      <h2>What cannot be judged on it, and why</h2>
      {held.length === 0 ? (
        <p>Every check of the policy can be judged on this truck.</p>
      ) : (
        <ul class="ledger">
          {held.map(({ check, reach, why }) => (
            <li key={check} class="line unjudged">
              <p class="when">
                <strong>{reachWords[reach]}</strong>
              </p>
              <p class="say">
                {checkName(check)}
                {why.length > 0 && `: ${plainSignals(why.join(', '))}`}
              </p>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

function Signals({ learned: { signals, notReported } }: { learned: Learned }) {
  return (
    <section>
      <h2>Signals</h2>
      <Scroll label="Signals">
        <table>
          <thead>
            <tr>
              <th>Signal</th>
              <th>How it comes</th>
              <th class="number">Share of rows</th>
            </tr>
          </thead>
          <tbody>
            {signals.map(({ signal, mode, everySeconds, share }) => (
              <tr key={signal}>
                <th scope="row">{signalName(signal)}</th>
                <td>{comes(mode, everySeconds)}</td>
                <td class="number">{figureText(share * 100)} %</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scroll>
      {notReported.length > 0 && <p>Never reported: {notReported.map(signalName).join(', ')}.</p>}
    </section>
  );
}

function comes(mode: string, everySeconds: number | null): string {
  if (mode === 'periodic') return everySeconds === null ? 'at intervals' : `every ${figureText(everySeconds)} s`;
  return mode === 'change-only' ? 'when it changes' : 'too seldom to tell';
}

function Levels({ learned: { levels, unit }, units }: { learned: Learned; units: Units }) {
  const known = (['bobtail', 'empty', 'loaded'] as const).flatMap((name) => {
    const level = levels[name];
    if (level == null || unit === null) return [];
    const { value, unit: symbol } = inUnits(level.value, unit, units);
    return [{ name, said: `${figureText(value)} ${symbol}, ${level.basis}` }];
  });
  return (
    <section>
      <h2>Levels</h2>
      {known.length === 0 ? (
        <p>No settled level is known: without one no coupling or uncoupling is seen.</p>
      ) : (
        <dl class="facts">
          {known.map(({ name, said }) => (
            <div class="pair" key={name}>
              <dt>{capital(name)}</dt>
              <dd>{said}</dd>
            </div>
          ))}
        </dl>
      )}
    </section>
  );
}
