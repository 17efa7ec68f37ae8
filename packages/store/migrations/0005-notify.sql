-- Webhooks and what is to be delivered to them. An event is written in the transaction that makes it true, so that a crash
-- loses none; it is delivered at least once, under one id.

create table webhook (
  webhook_id text not null,
  name text not null,
  url text not null,
  filter json not null,
  driver_ids boolean not null,
  -- Terminals of whoever made it: it never tells more than that one may see. NULL: all.
  terminals text[],
  paused boolean not null default false,
  created_at timestamptz not null,
  removed_at timestamptz,
  constraint webhook_is_one primary key (webhook_id)
);

-- Signing needs the secret itself.
create table webhook_secret (
  secret_id text not null,
  webhook_id text not null,
  secret text not null,
  created_at timestamptz not null,
  constraint webhook_secret_is_one primary key (secret_id),
  constraint webhook_secret_belongs_to_a_webhook foreign key (webhook_id) references webhook (webhook_id)
);
create index webhook_secret_by_webhook on webhook_secret (webhook_id, created_at);

create table delivery (
  delivery_id bigint generated always as identity,
  webhook_id text not null,
  event_id text not null,
  type text not null,
  body text not null,
  state text not null,
  attempts integer not null default 0,
  next_attempt timestamptz,
  last_status integer,
  last_failure text,
  created_at timestamptz not null,
  delivered_at timestamptz,
  constraint delivery_is_numbered primary key (delivery_id),
  constraint delivery_is_one_an_event_and_webhook unique (webhook_id, event_id),
  constraint delivery_belongs_to_a_webhook foreign key (webhook_id) references webhook (webhook_id),
  constraint delivery_state_is_known check (state in ('waiting', 'delivered', 'given-up')),
  constraint delivery_that_waits_says_until_when check ((state = 'waiting') = (next_attempt is not null)),
  constraint delivery_attempts_are_not_negative check (attempts >= 0)
);
create index delivery_due on delivery (next_attempt) where state = 'waiting';
create index delivery_by_webhook on delivery (webhook_id, delivery_id);

-- Answers given to batches of readings, under the caller's key: the same key gets the same answer.
create table intake_answer (
  caller text not null,
  idempotency_key text not null,
  body_hash text not null,
  answer json,
  at timestamptz not null,
  constraint intake_answer_is_one_a_key primary key (caller, idempotency_key),
  constraint intake_answer_body_hash_is_64_hex_digits check (body_hash ~ '^[0-9a-f]{64}$')
);
create index intake_answer_by_age on intake_answer (at);
