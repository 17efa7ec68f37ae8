/**
 * Who asks, and what they may see. A principal is a program with a token or a person with a session; both carry scopes and,
 * where limited, the terminals they belong to.
 */

export const scopes = ['read', 'ingest', 'review', 'administer'] as const;
export type Scope = (typeof scopes)[number];

export interface Principal {
  readonly kind: 'token' | 'person';
  /** Id of the token or the person. */
  readonly id: string;
  /** What the audit log calls it. */
  readonly name: string;
  readonly scopes: ReadonlySet<Scope>;
  /** Terminals whose matters it may see; null: all. */
  readonly terminals: readonly string[] | null;
  /** Whether drivers are told by name or id to it. */
  readonly driverNames: boolean;
  /** A one-time password must be replaced before anything else. */
  readonly mustChangePassword: boolean;
}

/** `administer` includes every other scope; nothing else includes another. */
export function holds(principal: Principal, scope: Scope): boolean {
  return principal.scopes.has(scope) || principal.scopes.has('administer');
}

/** The terminals that a matter belongs to: of its driver, its site and its vehicle; null where none is known. */
export interface Belonging {
  readonly driverTerminal: string | null;
  readonly siteTerminal: string | null;
  readonly vehicleTerminal: string | null;
}

/**
 * Whether a principal may see a matter. An episode is visible to the terminal of its driver, of its site and of its vehicle.
 * What belongs to no terminal that is known is seen only by those who see all.
 */
export function maySee(principal: Pick<Principal, 'terminals'>, belonging: Belonging): boolean {
  if (principal.terminals === null) return true;
  return [belonging.driverTerminal, belonging.siteTerminal, belonging.vehicleTerminal].some(
    (terminal) => terminal !== null && principal.terminals!.includes(terminal),
  );
}
