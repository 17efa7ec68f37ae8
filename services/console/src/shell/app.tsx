/** The console as a whole: who is signed in, and which page the address names. */
import type { Units } from '@gearhold/look';
import { useEffect, useState } from 'preact/hooks';
import { ArrivalsPage } from '../arrivals/arrivals-page.tsx';
import { DriverPage } from '../drivers/driver-page.tsx';
import { DriversPage } from '../drivers/drivers-page.tsx';
import { EpisodePage } from '../episode/episode-page.tsx';
import { MorningPage } from '../morning/morning-page.tsx';
import { PeoplePage } from '../people/people-page.tsx';
import { PolicyPage } from '../policy/policy-page.tsx';
import { ask, keepCsrfToken, Refusal } from '../server/ask.ts';
import type { Page as ListPage, Session, Site } from '../server/messages.ts';
import { NewPassword, SignIn } from '../sign-in/sign-in.tsx';
import { TruckPage } from '../trucks/truck-page.tsx';
import { TrucksPage } from '../trucks/trucks-page.tsx';
import { WordsPage } from '../words/words-page.tsx';
import { YardPage } from '../yards/yard-page.tsx';
import { YardsPage } from '../yards/yards-page.tsx';
import type { Address } from './address.ts';
import { useAddress } from './navigation.ts';
import { Page } from './page.tsx';
import { keepKeys, keepUnits, keptKeys, keptUnits, SurroundingsProvider } from './person.ts';

/** `undefined`: not asked yet; null: nobody is signed in. */
type Signed = Session | null | undefined;

export function App() {
  const address = useAddress();
  const [session, setSession] = useState<Signed>(undefined);
  const [sites, setSites] = useState<ReadonlyMap<string, Site> | null>(null);
  const [units, setUnits] = useState<Units>(keptUnits);
  const [keys, setKeys] = useState(keptKeys);
  const [failure, setFailure] = useState<string | null>(null);

  useEffect(() => {
    ask<Session>('GET', '/v1/session').then(
      (found) => {
        keepCsrfToken(found.csrfToken);
        setSession(found);
      },
      (error: unknown) => {
        if (error instanceof Refusal && error.status === 401) setSession(null);
        else setFailure(error instanceof Refusal ? error.message : 'The page failed. Load it again.');
      },
    );
  }, []);

  const admitted = session != null && !session.person.mustChangePassword;
  useEffect(() => {
    if (!admitted) return;
    ask<ListPage<{ site: Site }>>('GET', '/v1/sites').then(
      ({ items }) => setSites(new Map(items.map(({ site }) => [site.siteId, site]))),
      (error: unknown) => setFailure(error instanceof Refusal ? error.message : 'The page failed. Load it again.'),
    );
  }, [admitted]);

  if (failure !== null) {
    return (
      <main class="narrow">
        <h1>gearhold</h1>
        <p class="refused" role="alert">
          {failure}
        </p>
      </main>
    );
  }
  if (session === undefined) return null;
  if (session === null) return <SignIn onSession={setSession} />;
  if (session.person.mustChangePassword) {
    const done = () => setSession({ ...session, person: { ...session.person, mustChangePassword: false } });
    return <NewPassword session={session} onDone={done} />;
  }
  if (sites === null) return null;

  const signOut = async () => {
    await ask('DELETE', '/v1/session').catch(() => undefined);
    keepCsrfToken(null);
    setSites(null);
    setSession(null);
  };
  return (
    <SurroundingsProvider value={{ person: session.person, units, sites, keys }}>
      <Page
        path={address.path}
        onUnits={(chosen) => {
          keepUnits(chosen);
          setUnits(chosen);
        }}
        onKeys={(chosen) => {
          keepKeys(chosen);
          setKeys(chosen);
        }}
        onSignOut={signOut}
      >
        <Content address={address} />
      </Page>
    </SurroundingsProvider>
  );
}

function Content({ address: { path, query } }: { address: Address }) {
  const [, room, id, check] = path.split('/');
  useEffect(() => {
    document.title = `${titles[room ?? ''] ?? 'gearhold'} · gearhold`;
  }, [room]);
  if (room === '') return <MorningPage query={query} />;
  if (room === 'episodes' && id) return <EpisodePage key={id} episodeId={decodeURIComponent(id)} check={query.check} />;
  // The address that mails carry.
  if (room === 'anomalies' && id && check)
    return <EpisodePage key={id} episodeId={decodeURIComponent(id)} check={check} />;
  if (room === 'trucks' && id) return <TruckPage key={id} vehicleId={decodeURIComponent(id)} />;
  if (room === 'trucks') return <TrucksPage query={query} />;
  if (room === 'yards' && id) return <YardPage key={id} siteId={decodeURIComponent(id)} />;
  if (room === 'yards') return <YardsPage />;
  if (room === 'drivers' && id) return <DriverPage key={id} driverId={decodeURIComponent(id)} />;
  if (room === 'drivers') return <DriversPage query={query} />;
  if (room === 'arrivals') return <ArrivalsPage query={query} />;
  if (room === 'people') return <PeoplePage />;
  if (room === 'policy') return <PolicyPage />;
  if (room === 'words') return <WordsPage />;
  return (
    <>
      <h1>Nothing is here</h1>
      <p>
        This address names no page. The{' '}
        <a data-inside href="/">
          morning list
        </a>{' '}
        is the place to start.
      </p>
    </>
  );
}

const titles: Readonly<Record<string, string>> = {
  '': 'Morning list',
  episodes: 'Episode',
  anomalies: 'Episode',
  trucks: 'Trucks',
  yards: 'Yards',
  drivers: 'Drivers',
  policy: 'Policy',
  arrivals: 'Arrivals',
  people: 'People',
  words: 'Words',
};
