/** People who may sign in. Passwords come as hashes; whether one fits is decided by whoever made the hash. */
import type { Statements } from '../engine/engine.ts';
import { instant, instantOrNull } from '../engine/values.ts';

/** What a person or a program may do, and of which terminals it may see the matters. */
export interface Grants {
  readonly scopes: readonly string[];
  /** null: all terminals. */
  readonly terminals: readonly string[] | null;
  readonly driverNames: boolean;
}

export interface Person extends Grants {
  readonly personId: string;
  readonly login: string;
  readonly name: string;
  readonly passwordHash: string;
  readonly mustChangePassword: boolean;
  readonly disabled: boolean;
  readonly failedSignIns: number;
  readonly lockedUntilMs: number | null;
  readonly createdMs: number;
  readonly lastSignInMs: number | null;
}

const columns = `person_id as "personId", login, name, password_hash as "passwordHash",
  must_change_password as "mustChangePassword", scopes, terminals, driver_names as "driverNames", disabled,
  failed_sign_ins as "failedSignIns", locked_until as "lockedUntilMs", created_at as "createdMs",
  last_sign_in as "lastSignInMs"`;

export interface NewPerson extends Grants {
  readonly personId: string;
  readonly login: string;
  readonly name: string;
  readonly passwordHash: string;
  readonly createdMs: number;
}

/** Admits a person, whose password is for one use; false where the login is taken. */
export async function admitPerson(store: Statements, person: NewPerson): Promise<boolean> {
  const rows = await store.query(
    `insert into person
       (person_id, login, name, password_hash, must_change_password, scopes, terminals, driver_names, created_at)
     values ($1, $2, $3, $4, true, $5, $6, $7, $8)
     on conflict (login) do nothing
     returning person_id`,
    [
      person.personId,
      person.login,
      person.name,
      person.passwordHash,
      person.scopes,
      person.terminals,
      person.driverNames,
      instant(person.createdMs),
    ],
  );
  return rows.length > 0;
}

export async function personByLogin(store: Statements, login: string): Promise<Person | null> {
  const rows = await store.query<Person>(`select ${columns} from person where login = $1`, [login]);
  return rows[0] ?? null;
}

export async function personById(store: Statements, personId: string): Promise<Person | null> {
  const rows = await store.query<Person>(`select ${columns} from person where person_id = $1`, [personId]);
  return rows[0] ?? null;
}

/** People by login, from after a login on. */
export function people(store: Statements, afterLogin: string | null, limit: number): Promise<Person[]> {
  return store.query<Person>(
    `select ${columns} from person where $1::text is null or login > $1 order by login limit $2`,
    [afterLogin, limit],
  );
}

/** How many people there are: none before the first start. */
export async function countPeople(store: Statements): Promise<number> {
  const [row] = await store.query<{ count: number }>('select count(*)::int as count from person');
  return row!.count;
}

/** How many may administer and are not disabled: the last one is not to be lost. */
export async function countAdministrators(store: Statements): Promise<number> {
  const [row] = await store.query<{ count: number }>(
    `select count(*)::int as count from person where 'administer' = any (scopes) and not disabled and terminals is null`,
  );
  return row!.count;
}

/** What is left out stays as it is. */
export type PersonChange = { readonly [Key in keyof Grants]?: Grants[Key] | undefined } & {
  readonly name?: string | undefined;
  readonly disabled?: boolean | undefined;
};

/** Changes what is given and leaves the rest; null where there is no such person. */
export async function changePerson(store: Statements, personId: string, change: PersonChange): Promise<Person | null> {
  const rows = await store.query<Person>(
    `update person set
       name = coalesce($2, name),
       disabled = coalesce($3, disabled),
       scopes = coalesce($4, scopes),
       terminals = case when $5 then $6::text[] else terminals end,
       driver_names = coalesce($7, driver_names)
     where person_id = $1
     returning ${columns}`,
    [
      personId,
      change.name ?? null,
      change.disabled ?? null,
      change.scopes ?? null,
      change.terminals !== undefined,
      change.terminals ?? null,
      change.driverNames ?? null,
    ],
  );
  return rows[0] ?? null;
}

/** Sets a password; one that an administrator gave is for one use. */
export async function setPassword(
  store: Statements,
  personId: string,
  passwordHash: string,
  oneTime: boolean,
): Promise<void> {
  await store.query(
    `update person set password_hash = $2, must_change_password = $3, failed_sign_ins = 0, locked_until = null
     where person_id = $1`,
    [personId, passwordHash, oneTime],
  );
}

/** Notes a wrong password; where it is the last of so many that are let through, nobody signs in until then. */
export async function noteFailedSignIn(
  store: Statements,
  personId: string,
  letThrough: number,
  lockedUntilMs: number,
): Promise<void> {
  await store.query(
    `update person set
       failed_sign_ins = case when failed_sign_ins + 1 >= $2 then 0 else failed_sign_ins + 1 end,
       locked_until = case when failed_sign_ins + 1 >= $2 then $3::timestamptz else locked_until end
     where person_id = $1`,
    [personId, letThrough, instant(lockedUntilMs)],
  );
}

export async function noteSignIn(store: Statements, personId: string, timeMs: number): Promise<void> {
  await store.query(
    'update person set failed_sign_ins = 0, locked_until = null, last_sign_in = $2 where person_id = $1',
    [personId, instantOrNull(timeMs)],
  );
}
