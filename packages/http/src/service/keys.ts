/** Looks tokens and sessions up in the store. */
import { type Engine, liveSession, liveToken } from '@gearhold/store';
import type { Keys } from '../access/gate.ts';
import type { Principal, Scope } from '../access/principal.ts';

export function storeKeys(store: Engine): Keys {
  return {
    async token(hash, nowMs): Promise<Principal | null> {
      const token = await liveToken(store, hash, nowMs);
      if (token === null) return null;
      return {
        kind: 'token',
        id: token.tokenId,
        name: token.name,
        scopes: new Set(token.scopes as readonly Scope[]),
        terminals: token.terminals,
        driverNames: token.driverNames,
        mustChangePassword: false,
      };
    },
    async session(hash, nowMs) {
      const session = await liveSession(store, hash, nowMs);
      if (session === null) return null;
      const principal: Principal = {
        kind: 'person',
        id: session.personId,
        name: session.name,
        scopes: new Set(session.scopes as readonly Scope[]),
        terminals: session.terminals,
        driverNames: session.driverNames,
        mustChangePassword: session.mustChangePassword,
      };
      return { principal, csrfToken: session.csrfToken };
    },
  };
}
