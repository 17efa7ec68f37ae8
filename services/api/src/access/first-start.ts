/** The first start admits an administrator with a one-time password, which whoever started the service is shown once. */
import { randomUUID } from 'node:crypto';
import { newOneTimePassword, passwordHash } from '@gearhold/http';
import { admitPerson, countPeople, type Engine, noteAudit } from '@gearhold/store';

export const firstLogin = 'admin';

/** The one-time password of the administrator that was admitted now; null where somebody may sign in already. */
export async function admitFirst(store: Engine, nowMs: number): Promise<string | null> {
  if ((await countPeople(store)) > 0) return null;
  const password = newOneTimePassword();
  const hash = await passwordHash(password);
  return store.transaction(async (transaction) => {
    const admitted = await admitPerson(transaction, {
      personId: randomUUID(),
      login: firstLogin,
      name: 'Administrator',
      passwordHash: hash,
      scopes: ['administer'],
      terminals: null,
      driverNames: true,
      createdMs: nowMs,
    });
    if (!admitted) return null;
    const service = { kind: 'service', id: 'api', name: 'first start' } as const;
    await noteAudit(transaction, nowMs, service, 'admit-person', `person/${firstLogin}`);
    return password;
  });
}
