-- The tables of the store. Times are instants (timestamptz), figures in the units of the signal catalogue; NULL means not
-- reported or not known, never zero. Documents that are handed on as they are stand in json, which keeps their bytes.
-- Named constraints read as sentences: their names are what a refused row is explained with. Keys are ordered by their bytes
-- (collate "C"), so that every engine, whatever its locale, gives the same order; it is also the fastest.

-- Input files, by content: the same bytes are taken once, whatever their name.
create table input_file (
  sha256 text collate "C" not null,
  name text collate "C" not null,
  bytes bigint not null,
  state text collate "C" not null,
  first_seen timestamptz not null,
  state_since timestamptz not null,
  -- Where reading goes on after it was interrupted; the reader's own words.
  resume json,
  rows_read bigint not null default 0,
  rows_accepted bigint not null default 0,
  rows_rejected bigint not null default 0,
  rows_new bigint not null default 0,
  rows_changed bigint not null default 0,
  -- What else the reader counted: rejects by reason, cells that could not be used.
  counts json,
  problem text,
  constraint input_file_is_known_by_content primary key (sha256),
  constraint input_file_sha256_is_64_hex_digits check (sha256 ~ '^[0-9a-f]{64}$'),
  constraint input_file_state_is_known check (state in ('arriving', 'reading', 'done', 'failed')),
  constraint input_file_counts_are_not_negative
    check (bytes >= 0 and rows_read >= 0 and rows_accepted >= 0 and rows_rejected >= 0 and rows_new >= 0 and rows_changed >= 0),
  constraint input_file_that_failed_says_why check ((state = 'failed') = (problem is not null))
);
create index input_file_by_state on input_file (state, first_seen);

-- Rejected rows, whole; position counts the rejects of a file from 0.
create table reject (
  sha256 text collate "C" not null,
  position bigint not null,
  line bigint not null,
  reason text collate "C" not null,
  -- The bytes as they stood in the file: they need not be text that a database takes.
  content bytea not null,
  cut boolean not null,
  constraint reject_stands_once_in_its_file primary key (sha256, position),
  constraint reject_belongs_to_a_file foreign key (sha256) references input_file (sha256),
  constraint reject_place_is_not_negative check (position >= 0 and line >= 0)
);

-- Vehicles that readings came from, and how far their analysis is.
create table vehicle_progress (
  vehicle_id text collate "C" not null,
  first_reading_time timestamptz not null,
  last_reading_time timestamptz not null,
  -- Readings from here on are not analysed yet; NULL: everything is.
  dirty_from timestamptz,
  -- Readings up to here were seen by the last analysis.
  analysed_until timestamptz,
  -- Raw readings before this were pruned: nothing before it can be analysed again.
  pruned_before timestamptz,
  constraint vehicle_progress_is_one_a_vehicle primary key (vehicle_id),
  constraint vehicle_id_is_1_to_64_characters check (length(vehicle_id) between 1 and 64),
  constraint vehicle_readings_begin_before_they_end check (first_reading_time <= last_reading_time)
);
create index vehicle_progress_dirty on vehicle_progress (dirty_from) where dirty_from is not null;

-- One row a vehicle and instant; corrections counts how often a later file changed it. It is written more often than anything
-- else, so what can be a type is no check: a flag is a boolean.
create table reading (
  vehicle_id text collate "C" not null,
  time timestamptz not null,
  driver_id text collate "C",
  speed_kph double precision,
  gear smallint,
  engine_rpm double precision,
  accelerator_pct double precision,
  torque_pct double precision,
  parking_brake boolean,
  service_brake boolean,
  clutch boolean,
  suspension_kpa double precision,
  suspension_dump boolean,
  ride_height_mm double precision,
  axle_load_kg double precision,
  latitude double precision,
  longitude double precision,
  heading_deg double precision,
  trailer_linked boolean,
  driver_logged_in boolean,
  hazard_lamps boolean,
  headlamps boolean,
  driver_door_open boolean,
  ignition boolean,
  corrections integer not null default 0,
  constraint reading_is_one_a_vehicle_and_instant primary key (vehicle_id, time),
  constraint reading_is_within_its_ranges check (
    length(driver_id) between 1 and 64
    and speed_kph between 0 and 250.996
    and gear between -125 and 125
    and engine_rpm between 0 and 8031.875
    and accelerator_pct between 0 and 100
    and torque_pct between -125 and 125
    and suspension_kpa between 0 and 6425.5
    and ride_height_mm between -3200 and 3225.5
    and axle_load_kg between 0 and 128510
    and latitude between -90 and 90
    and longitude between -180 and 180
    and heading_deg between 0 and 360
    and corrections >= 0
  )
);

create table driver (
  driver_id text collate "C" not null,
  name text collate "C",
  constraint driver_is_stated_once primary key (driver_id),
  constraint driver_id_is_1_to_64_characters check (length(driver_id) between 1 and 64)
);

-- Which terminal a driver belongs to, and when; days in the fleet's calendar, the last one not included.
create table driver_assignment (
  driver_id text collate "C" not null,
  terminal text collate "C" not null,
  valid_from date not null default '-infinity',
  valid_until date not null default 'infinity',
  constraint driver_assignment_begins_once primary key (driver_id, valid_from),
  constraint driver_assignment_belongs_to_a_driver foreign key (driver_id) references driver (driver_id) on delete cascade,
  constraint driver_assignment_ends_after_it_begins check (valid_from < valid_until)
);

-- What the fleet states of a truck (an entry of the vehicles file), from a day (UTC) on.
create table vehicle (
  vehicle_id text collate "C" not null,
  valid_from date not null default '-infinity',
  terminal text collate "C",
  document json not null,
  constraint vehicle_statement_begins_once primary key (vehicle_id, valid_from),
  constraint vehicle_statement_names_its_vehicle check (document ->> 'vehicleId' = vehicle_id),
  constraint vehicle_statement_id_is_1_to_64_characters check (length(vehicle_id) between 1 and 64)
);

create table site (
  site_id text collate "C" not null,
  -- Place in the sites file: of equal sites the first answers.
  position integer not null,
  terminal text collate "C",
  document json not null,
  constraint site_is_stated_once primary key (site_id),
  constraint site_statement_names_its_site check (document ->> 'siteId' = site_id)
);

-- Policies by content, and from when each of them holds.
create table policy (
  policy_id text collate "C" not null,
  document json not null,
  constraint policy_is_known_by_content primary key (policy_id),
  constraint policy_id_is_64_hex_digits check (policy_id ~ '^[0-9a-f]{64}$')
);

create table policy_validity (
  valid_from timestamptz not null default '-infinity',
  policy_id text collate "C" not null,
  stated_at timestamptz not null,
  constraint policy_validity_begins_once primary key (valid_from),
  constraint policy_validity_names_a_policy foreign key (policy_id) references policy (policy_id)
);

-- A vehicle's life in stretches cut at quiet moments, with what was learned by the start of each.
create table stretch (
  vehicle_id text collate "C" not null,
  start_time timestamptz not null,
  -- Not included; NULL while the stretch is open.
  end_time timestamptz,
  -- Of the analysis that wrote the state.
  engine text not null,
  state json,
  constraint stretch_begins_once primary key (vehicle_id, start_time),
  constraint stretch_belongs_to_a_vehicle foreign key (vehicle_id) references vehicle_progress (vehicle_id),
  constraint stretch_ends_after_it_begins check (end_time > start_time)
);
create unique index stretch_open_is_one_a_vehicle on stretch (vehicle_id) where end_time is null;

create table episode (
  episode_id text collate "C" not null,
  vehicle_id text collate "C" not null,
  kind text collate "C" not null,
  start_time timestamptz not null,
  load_transfer_time timestamptz not null,
  end_time timestamptz not null,
  driver_id text collate "C",
  driver_basis text not null,
  site_id text collate "C",
  -- Where it belongs: the site's terminal, else the vehicle's.
  terminal text collate "C",
  -- The driver's own, on that day.
  driver_terminal text collate "C",
  confidence double precision not null,
  -- Whether the departure (or clearing) was seen.
  closed boolean not null,
  -- The wire form but for its checks.
  document json not null,
  policy_id text collate "C" not null,
  state text collate "C" not null,
  revision integer not null,
  first_seen timestamptz not null,
  changed_at timestamptz not null,
  constraint episode_id_is_kept primary key (episode_id),
  constraint episode_keeps_its_instant unique (episode_id, load_transfer_time),
  constraint episode_belongs_to_a_vehicle foreign key (vehicle_id) references vehicle_progress (vehicle_id),
  constraint episode_is_judged_by_a_policy foreign key (policy_id) references policy (policy_id),
  constraint episode_kind_is_named check (length(kind) between 1 and 64),
  constraint episode_times_are_in_order check (start_time <= load_transfer_time and load_transfer_time <= end_time),
  constraint episode_driver_basis_is_known check (driver_basis in ('reported', 'carried', 'unknown')),
  constraint episode_driver_is_known_where_it_says_so check ((driver_basis = 'unknown') = (driver_id is null)),
  constraint episode_confidence_is_a_probability check (confidence between 0 and 1),
  constraint episode_state_is_known check (state in ('active', 'withdrawn')),
  constraint episode_revision_counts_from_1 check (revision >= 1),
  constraint episode_changes_after_it_was_seen check (changed_at >= first_seen)
);
create index episode_by_time on episode (load_transfer_time, episode_id);
create index episode_by_vehicle on episode (vehicle_id, load_transfer_time, episode_id);
create index episode_by_driver on episode (driver_id, load_transfer_time, episode_id);
create index episode_by_terminal on episode (terminal, load_transfer_time, episode_id);
create index episode_by_site on episode (site_id, load_transfer_time, episode_id);

-- The checks of active episodes, in the policy's order.
create table check_result (
  episode_id text collate "C" not null,
  position smallint not null,
  check_name text collate "C" not null,
  -- The episode's, so that one check is found over a year without its episodes.
  load_transfer_time timestamptz not null,
  outcome text collate "C" not null,
  value double precision,
  low double precision,
  high double precision,
  unit text,
  limits json not null,
  window_start timestamptz,
  window_end timestamptz,
  concern text not null,
  urgency text not null,
  reason text not null,
  reason_parts json not null,
  constraint check_result_has_its_place primary key (episode_id, position),
  constraint check_is_judged_once_an_episode unique (episode_id, check_name),
  constraint check_result_belongs_to_its_episode foreign key (episode_id, load_transfer_time)
    references episode (episode_id, load_transfer_time) on update cascade,
  constraint check_result_place_is_not_negative check (position >= 0),
  constraint check_outcome_is_known check (outcome in ('met', 'missed', 'undetermined', 'not-applicable')),
  constraint check_measure_has_a_unit check ((value is null) = (unit is null) and (value is not null or (low is null and high is null))),
  constraint check_bounds_hold_the_value check (low <= value and value <= high),
  constraint check_missed_is_measured check (outcome <> 'missed' or value is not null),
  constraint check_window_has_two_ends check ((window_start is null) = (window_end is null) and (window_start is null or window_start <= window_end)),
  constraint check_concern_is_known check (concern in ('driver', 'yard', 'shop', 'unclear')),
  constraint check_urgency_is_known check (urgency in ('urgent', 'today', 'routine'))
);
create index check_result_by_check on check_result (check_name, load_transfer_time, episode_id) include (outcome);
create index check_result_missed on check_result (load_transfer_time, episode_id) where outcome = 'missed';

-- What the data prove was missed. It stays when the data change their mind, and says so.
create table anomaly (
  anomaly_id text collate "C" not null,
  episode_id text collate "C" not null,
  check_name text collate "C" not null,
  state text collate "C" not null,
  -- Found from data that came after the day's digest.
  arrived_late boolean not null,
  first_seen timestamptz not null,
  changed_at timestamptz not null,
  constraint anomaly_id_is_kept primary key (anomaly_id),
  constraint anomaly_is_named_after_its_check check (anomaly_id = episode_id || '/' || check_name),
  constraint anomaly_belongs_to_an_episode foreign key (episode_id) references episode (episode_id),
  constraint anomaly_state_is_known check (state in ('open', 'withdrawn')),
  constraint anomaly_changes_after_it_was_seen check (changed_at >= first_seen)
);
create index anomaly_by_episode on anomaly (episode_id);
create index anomaly_by_first_seen on anomaly (first_seen, anomaly_id);

-- The readings of all signals around an episode, compressed, with the names and units of their columns.
create table episode_evidence (
  episode_id text collate "C" not null,
  encoding text not null,
  from_time timestamptz not null,
  until_time timestamptz not null,
  rows integer not null,
  content bytea not null,
  constraint episode_evidence_is_one_an_episode primary key (episode_id),
  constraint episode_evidence_belongs_to_an_episode foreign key (episode_id) references episode (episode_id),
  constraint episode_evidence_ends_after_it_begins check (from_time <= until_time),
  constraint episode_evidence_rows_are_not_negative check (rows >= 0)
);
alter table episode_evidence alter column content set storage external;

-- What an episode said before it was changed or withdrawn: the wire form, checks included.
create table episode_history (
  episode_id text collate "C" not null,
  revision integer not null,
  state text collate "C" not null,
  document json not null,
  policy_id text collate "C" not null,
  said_from timestamptz not null,
  said_until timestamptz not null,
  constraint episode_history_is_one_a_revision primary key (episode_id, revision),
  constraint episode_history_belongs_to_an_episode foreign key (episode_id) references episode (episode_id),
  constraint episode_history_names_a_policy foreign key (policy_id) references policy (policy_id),
  constraint episode_history_state_is_known check (state in ('active', 'withdrawn')),
  constraint episode_history_ends_after_it_begins check (said_from <= said_until)
);

-- Mails of a day, one a recipient.
create table digest (
  day date not null,
  recipient text collate "C" not null,
  message_id text collate "C" not null,
  state text collate "C" not null,
  attempts integer not null,
  intended_at timestamptz not null,
  changed_at timestamptz not null,
  problem text,
  constraint digest_is_one_a_day_and_recipient primary key (day, recipient),
  constraint digest_message_id_is_fixed unique (message_id),
  constraint digest_state_is_known check (state in ('intended', 'sent', 'unknown', 'refused')),
  constraint digest_attempts_are_not_negative check (attempts >= 0),
  constraint digest_changes_after_it_was_intended check (changed_at >= intended_at)
);
create index digest_in_doubt on digest (day) where state <> 'sent';

-- What is kept from every pruning: a vehicle's or a driver's data, or a period, or the part of it that all of them name.
create table hold (
  hold_id bigint generated always as identity,
  vehicle_id text collate "C",
  driver_id text collate "C",
  from_time timestamptz not null default '-infinity',
  until_time timestamptz not null default 'infinity',
  reason text not null,
  placed_at timestamptz not null,
  released_at timestamptz,
  constraint hold_is_numbered primary key (hold_id),
  constraint hold_names_what_it_keeps
    check (vehicle_id is not null or driver_id is not null or from_time > '-infinity' or until_time < 'infinity'),
  constraint hold_ends_after_it_begins check (from_time < until_time),
  constraint hold_is_released_after_it_was_placed check (released_at >= placed_at)
);

-- What changed, in the order in which it became visible.
create table change (
  change_id bigint generated always as identity,
  at timestamptz not null,
  subject text not null,
  subject_id text collate "C" not null,
  change text not null,
  revision integer not null,
  constraint change_is_numbered primary key (change_id),
  constraint change_subject_is_known check (subject in ('episode', 'anomaly')),
  constraint change_is_known check (change in ('added', 'changed', 'withdrawn', 'returned'))
);

create table setting (
  name text collate "C" not null,
  value json not null,
  changed_at timestamptz not null,
  constraint setting_is_set_once primary key (name)
);
