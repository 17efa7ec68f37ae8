-- Readings after this are as the last analysis saw them, so that one that finds what it found before may stop there.
alter table vehicle_progress add column dirty_until timestamptz;
update vehicle_progress set dirty_until = 'infinity' where dirty_from is not null;
alter table vehicle_progress add constraint vehicle_is_due_between_two_instants
  check ((dirty_from is null) = (dirty_until is null));
