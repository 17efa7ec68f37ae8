-- Who may use the service: people with passwords and sessions, programs with tokens; and the log of who read and changed what.
-- Secrets are kept as hashes only.

create table person (
  person_id text not null,
  login text not null,
  name text not null,
  -- Argon2id with its parameters.
  password_hash text not null,
  must_change_password boolean not null,
  scopes text[] not null,
  -- Whose matters may be seen; NULL: those of all terminals.
  terminals text[],
  driver_names boolean not null,
  disabled boolean not null default false,
  failed_sign_ins integer not null default 0,
  locked_until timestamptz,
  created_at timestamptz not null,
  last_sign_in timestamptz,
  constraint person_is_one primary key (person_id),
  constraint person_login_is_taken_once unique (login),
  constraint person_login_is_1_to_100_characters check (length(login) between 1 and 100),
  constraint person_has_known_scopes
    check (cardinality(scopes) >= 1 and scopes <@ array['read', 'ingest', 'review', 'administer']),
  constraint person_failed_sign_ins_are_not_negative check (failed_sign_ins >= 0)
);

create table session (
  -- SHA-256 of the cookie.
  session_hash text not null,
  person_id text not null,
  csrf_token text not null,
  created_at timestamptz not null,
  expires_at timestamptz not null,
  constraint session_is_known_by_its_hash primary key (session_hash),
  constraint session_hash_is_64_hex_digits check (session_hash ~ '^[0-9a-f]{64}$'),
  constraint session_belongs_to_a_person foreign key (person_id) references person (person_id) on delete cascade,
  constraint session_ends_after_it_begins check (created_at < expires_at)
);
create index session_by_person on session (person_id);
create index session_by_end on session (expires_at);

create table token (
  token_id text not null,
  -- SHA-256 of the token.
  token_hash text not null,
  name text not null,
  scopes text[] not null,
  terminals text[],
  driver_names boolean not null,
  created_at timestamptz not null,
  created_by text not null,
  expires_at timestamptz,
  revoked_at timestamptz,
  last_used_at timestamptz,
  constraint token_is_one primary key (token_id),
  constraint token_is_known_by_its_hash unique (token_hash),
  constraint token_hash_is_64_hex_digits check (token_hash ~ '^[0-9a-f]{64}$'),
  constraint token_has_known_scopes
    check (cardinality(scopes) >= 1 and scopes <@ array['read', 'ingest', 'review', 'administer'])
);
create index token_by_age on token (created_at, token_id);

create table audit (
  audit_id bigint generated always as identity,
  at timestamptz not null,
  who_kind text not null,
  who_id text not null,
  who_name text not null,
  action text not null,
  subject text not null,
  detail json not null,
  constraint audit_is_numbered primary key (audit_id),
  constraint audit_who_is_known check (who_kind in ('token', 'person', 'service')),
  constraint audit_says_what_was_done check (length(action) between 1 and 60 and length(subject) between 1 and 300)
);
create index audit_by_subject on audit (subject, audit_id);
create index audit_by_who on audit (who_id, audit_id);
