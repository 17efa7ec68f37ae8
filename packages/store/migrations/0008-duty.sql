-- Mails to the duty address: at most one an anomaly. The states are those of the digests.
create table duty_mail (
  anomaly_id text collate "C" not null,
  recipient text not null,
  message_id text collate "C" not null,
  state text collate "C" not null,
  attempts integer not null,
  intended_at timestamptz not null,
  changed_at timestamptz not null,
  problem text,
  constraint duty_mail_is_one_an_anomaly primary key (anomaly_id),
  constraint duty_mail_is_of_an_anomaly foreign key (anomaly_id) references anomaly (anomaly_id),
  constraint duty_mail_state_is_known check (state in ('intended', 'sent', 'unknown', 'refused')),
  constraint duty_mail_attempts_are_not_negative check (attempts >= 0),
  constraint duty_mail_changes_after_it_was_intended check (changed_at >= intended_at)
);
-- What may have to be mailed is looked for at every round.
create index anomaly_urgent on anomaly (load_transfer_time) where state = 'open' and urgency = 0;
