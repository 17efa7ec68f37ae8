/** Signing in, and the new password that must follow a one-time one. */
import { useState } from 'preact/hooks';
import { ask, keepCsrfToken, Refusal } from '../server/ask.ts';
import type { Session } from '../server/messages.ts';

/** What a form holds, by the names of its fields. */
function fieldsOf(event: Event): Record<string, string> {
  event.preventDefault();
  return Object.fromEntries([...new FormData(event.currentTarget as HTMLFormElement)].map(([k, v]) => [k, String(v)]));
}

/** Runs what a form asks for, and keeps the sentence where it was refused. */
function useSubmission() {
  const [refused, setRefused] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  async function submit(act: () => Promise<void>) {
    setBusy(true);
    setRefused(null);
    try {
      await act();
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      setRefused(error.message);
    } finally {
      setBusy(false);
    }
  }
  return { refused, setRefused, busy, submit };
}

export function SignIn({ onSession }: { onSession: (session: Session) => void }) {
  const { refused, busy, submit } = useSubmission();
  const send = (event: Event) => {
    const { login, password } = fieldsOf(event);
    return submit(async () => {
      const session = await ask<Session>('POST', '/v1/session', { login, password });
      keepCsrfToken(session.csrfToken);
      onSession(session);
    });
  };
  return (
    <main class="narrow">
      <h1>gearhold</h1>
      <p>Couplings and uncouplings, and what the readings prove of them.</p>
      <form onSubmit={send}>
        <label>
          Name you sign in with
          <input name="login" autocomplete="username" required maxLength={100} />
        </label>
        <label>
          Password
          <input name="password" type="password" autocomplete="current-password" required maxLength={200} />
        </label>
        <Refused sentence={refused} />
        <button type="submit" disabled={busy}>
          Sign in
        </button>
      </form>
      <p class="soft small">
        At the first start the service printed a one-time password for the name admin. Anybody else gets theirs from an
        administrator.
      </p>
    </main>
  );
}

export function NewPassword({ session, onDone }: { session: Session; onDone: () => void }) {
  const { refused, setRefused, busy, submit } = useSubmission();
  const send = (event: Event) => {
    const { presentPassword, newPassword, again } = fieldsOf(event);
    if (newPassword !== again) return setRefused('The two new passwords differ. Type the same one twice.');
    return submit(async () => {
      await ask('PUT', '/v1/session/password', { presentPassword, newPassword });
      onDone();
    });
  };
  return (
    <main class="narrow">
      <h1>A password of your own</h1>
      <p>
        {session.person.name}, the one you signed in with was for once. Choose another of at least 12 characters;
        several words do well.
      </p>
      <form onSubmit={send}>
        <input type="hidden" name="username" autocomplete="username" value={session.person.login} />
        <label>
          One-time password
          <input name="presentPassword" type="password" autocomplete="current-password" required />
        </label>
        <label>
          New password
          <input
            name="newPassword"
            type="password"
            autocomplete="new-password"
            required
            minLength={12}
            maxLength={200}
          />
        </label>
        <label>
          New password again
          <input name="again" type="password" autocomplete="new-password" required minLength={12} maxLength={200} />
        </label>
        <Refused sentence={refused} />
        <button type="submit" disabled={busy}>
          Set it
        </button>
      </form>
    </main>
  );
}

function Refused({ sentence }: { sentence: string | null }) {
  if (sentence === null) return null;
  return (
    <p class="refused" role="alert">
      {sentence}
    </p>
  );
}
