/** People who may sign in, and tokens of programs: admitted, limited, ended. For administrators. */
import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { Waiting } from '../page/refused.tsx';
import { Scroll } from '../page/scroll.tsx';
import { ask, Refusal } from '../server/ask.ts';
import type { AdmittedPerson, IssuedToken, Page, Person, Token } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { useSurroundings } from '../shell/person.ts';
import { instant } from '../trucks/trucks-page.tsx';
import { grantsOf, grantsText, roles } from './grants.ts';

export function PeoplePage() {
  const { person } = useSurroundings();
  const [told, setTold] = useState<{ said: string; refused: boolean } | null>(null);
  const [changes, setChanges] = useState(0);
  if (!person.scopes.includes('administer')) {
    return (
      <>
        <h1>People</h1>
        <p>People and tokens are shown to administrators.</p>
      </>
    );
  }
  /** Does something and says what came of it; whether it was done. */
  const run: Run = async (act) => {
    try {
      setTold({ said: await act(), refused: false });
      setChanges((now) => now + 1);
      return true;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      setTold({ said: error.message, refused: true });
      return false;
    }
  };
  return (
    <>
      <h1>People</h1>
      <p role="status" class={told?.refused === true ? 'refused' : 'said'}>
        {told?.said}
      </p>
      <PeopleSection asOf={String(changes)} run={run} />
      <TokenSection asOf={String(changes)} run={run} />
    </>
  );
}

type Run = (act: () => Promise<string>) => Promise<boolean>;

function PeopleSection({ asOf, run }: { asOf: string; run: Run }) {
  const { person: self } = useSurroundings();
  const { answer, refusal } = useAnswer<Page<Person>>('/v1/people?limit=1000', asOf);
  const admit = (fields: FormData) =>
    run(async () => {
      const body = { login: fields.get('login'), name: fields.get('name'), ...grantsOf(fields) };
      const admitted = await ask<AdmittedPerson>('POST', '/v1/people', body);
      return `${admitted.name} signs in as ${admitted.login} with the one-time password ${admitted.oneTimePassword}; it is shown this once.`;
    });
  const setDisabled = ({ personId, name }: Person, disabled: boolean) =>
    run(async () => {
      await ask('PATCH', `/v1/people/${personId}`, { disabled });
      return disabled ? `${name} can no longer sign in.` : `${name} may sign in again.`;
    });
  const renew = ({ personId, name }: Person) =>
    run(async () => {
      const { oneTimePassword } = await ask<AdmittedPerson>('POST', `/v1/people/${personId}/password`, {});
      return `${name} signs in with the one-time password ${oneTimePassword}; it is shown this once.`;
    });
  return (
    <section>
      <h2>Who may sign in</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : (
        <Scroll label="People">
          <table>
            <thead>
              <tr>
                <th>Name</th>
                <th>Signs in as</th>
                <th>May</th>
                <th>Last sign-in</th>
                <th>Change</th>
              </tr>
            </thead>
            <tbody>
              {answer.items.map((one) => (
                <tr key={one.personId}>
                  <th scope="row">{one.name}</th>
                  <td>{one.login}</td>
                  <td>{one.disabled ? 'may not sign in' : grantsText(one)}</td>
                  <td>{instant(one.lastSignInTime)}</td>
                  <td>
                    {one.personId !== self.personId && (
                      <>
                        <button type="button" class="plain" onClick={() => setDisabled(one, !one.disabled)}>
                          {one.disabled ? 'Let in again' : 'Shut out'}
                        </button>{' '}
                        <button type="button" class="plain" onClick={() => renew(one)}>
                          New password
                        </button>
                      </>
                    )}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
      <GrantForm name="Let somebody sign in" onFields={admit}>
        <label>
          Name
          <input name="name" required maxLength={100} />
        </label>
        <label>
          Signs in as
          <input name="login" required maxLength={100} pattern="[A-Za-z0-9_.@+\-]+" />
        </label>
      </GrantForm>
    </section>
  );
}

function TokenSection({ asOf, run }: { asOf: string; run: Run }) {
  const { answer, refusal } = useAnswer<Page<Token>>('/v1/tokens?limit=1000', asOf);
  const issue = (fields: FormData) =>
    run(async () => {
      const issued = await ask<IssuedToken>('POST', '/v1/tokens', { name: fields.get('name'), ...grantsOf(fields) });
      return `The token for ${issued.name} is ${issued.secret}; it is shown this once.`;
    });
  const revoke = ({ tokenId, name }: Token) =>
    run(async () => {
      await ask('DELETE', `/v1/tokens/${tokenId}`);
      return `The token for ${name} holds no longer.`;
    });
  return (
    <section>
      <h2>Tokens of programs</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>No program has a token yet.</p>
      ) : (
        <Scroll label="Tokens">
          <table>
            <thead>
              <tr>
                <th>For</th>
                <th>May</th>
                <th>Last used</th>
                <th>Change</th>
              </tr>
            </thead>
            <tbody>
              {answer.items.map((one) => (
                <tr key={one.tokenId}>
                  <th scope="row">{one.name}</th>
                  <td>{one.revokedTime === null ? grantsText(one) : 'revoked'}</td>
                  <td>{instant(one.lastUsedTime)}</td>
                  <td>
                    {one.revokedTime === null && (
                      <button type="button" class="plain" onClick={() => revoke(one)}>
                        Revoke
                      </button>
                    )}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
      <GrantForm name="Issue a token" onFields={issue}>
        <label>
          For
          <input name="name" required maxLength={100} />
        </label>
      </GrantForm>
    </section>
  );
}

interface GrantFormProps {
  readonly name: string;
  readonly onFields: (fields: FormData) => Promise<boolean>;
  readonly children: ComponentChildren;
}

function GrantForm({ name, onFields, children }: GrantFormProps) {
  const send = async (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    if (await onFields(new FormData(form))) form.reset();
  };
  return (
    <form class="filters" aria-label={name} onSubmit={send}>
      {children}
      <label>
        May
        <select name="role">
          {roles.map(([scope, words]) => (
            <option key={scope} value={scope}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <label>
        Terminals, by comma; all if empty
        <input name="terminals" maxLength={500} />
      </label>
      <label>
        Drivers are named
        <input name="driverNames" type="checkbox" />
      </label>
      <button type="submit">{name}</button>
    </form>
  );
}
