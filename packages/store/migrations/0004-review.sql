-- What people decide of anomalies. A review is never changed: it is taken back by another one. What was judged is kept beside it,
-- so that a later change of it can be told.

-- An anomaly carries what it says and how it is sorted, so that a list of them reads one index and a withdrawn one still says it.
alter table anomaly
  add column load_transfer_time timestamptz,
  add column concern text,
  add column urgency smallint,
  add column severity double precision,
  add column document json;
comment on column anomaly.urgency is '0 urgent, 1 today, 2 routine';
comment on column anomaly.severity is 'How far beyond the limit the nearest bound lies, as a share of the limit, times the confidence';

-- Terminals of the site and of the vehicle, each for its own matters.
alter table episode
  add column site_terminal text,
  add column vehicle_terminal text;

create table review (
  review_id bigint generated always as identity,
  anomaly_id text not null,
  action text not null,
  reason text,
  note text,
  assignee_id text,
  at timestamptz not null,
  by_kind text not null,
  by_id text not null,
  by_name text not null,
  -- The review that this one takes back.
  undoes bigint,
  -- Fingerprint of the check as it stood when it was decided on.
  judged text not null,
  constraint review_is_numbered primary key (review_id),
  constraint review_is_of_an_anomaly foreign key (anomaly_id) references anomaly (anomaly_id),
  constraint review_action_is_known
    check (action in ('confirm', 'dismiss', 'hand-to-yard', 'hand-to-shop', 'assign', 'note', 'close', 'undo')),
  constraint review_that_dismisses_says_why check (action <> 'dismiss' or length(reason) > 0),
  constraint review_that_notes_has_a_note check (action <> 'note' or length(note) > 0),
  constraint review_that_undoes_names_what check ((action = 'undo') = (undoes is not null)),
  constraint review_undoes_a_review foreign key (undoes) references review (review_id),
  constraint review_is_undone_once unique (undoes),
  constraint review_by_is_known check (by_kind in ('token', 'person'))
);
create index review_by_anomaly on review (anomaly_id, review_id);

-- The case of an anomaly, beside it: what its reviews come to. Nobody decided yet where it is open.
alter table anomaly
  add column case_state text not null default 'open',
  add column assignee_id text,
  -- What was judged at the last decision that stands.
  add column judged text,
  add column last_review_id bigint,
  add constraint anomaly_case_state_is_known
    check (case_state in ('open', 'confirmed', 'dismissed', 'with-yard', 'with-shop', 'closed')),
  add constraint anomaly_case_rests_on_a_review foreign key (last_review_id) references review (review_id);

-- The morning list: what is not settled, by urgency, then severity.
create index anomaly_unsettled on anomaly (urgency, severity desc, load_transfer_time desc, anomaly_id)
  where state = 'open' and case_state not in ('dismissed', 'closed');
create index anomaly_by_time on anomaly (load_transfer_time desc, anomaly_id desc);

alter table change drop constraint change_is_known;
alter table change add constraint change_is_known
  check (change in ('added', 'changed', 'withdrawn', 'returned', 'reviewed', 'erased'));
alter table change drop constraint change_subject_is_known;
alter table change add constraint change_subject_is_known
  check (subject in ('episode', 'anomaly', 'vehicle', 'driver', 'site', 'policy'));
