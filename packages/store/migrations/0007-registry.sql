-- Policies that are not in force yet, and source profiles: somebody else's columns and units, by name.

alter table policy_validity
  add column name text,
  add column stated_by text;

create table policy_draft (
  policy_id text not null,
  name text not null,
  created_at timestamptz not null,
  created_by text not null,
  constraint policy_draft_is_one_a_policy primary key (policy_id),
  constraint policy_draft_names_a_policy foreign key (policy_id) references policy (policy_id)
);

create table source_profile (
  name text not null,
  document json not null,
  changed_at timestamptz not null,
  constraint source_profile_is_known_by_name primary key (name),
  constraint source_profile_name_is_1_to_64_characters check (length(name) between 1 and 64)
);
