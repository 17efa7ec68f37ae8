-- Where the timescaledb extension is present, readings become a hypertable: a chunk a week, compressed by vehicle. Elsewhere
-- the primary key serves the same questions, and nothing is done here. The compression needs the community licence of the
-- extension; without it the chunks stay as they are.
do $$
begin
  if exists (select from pg_extension where extname = 'timescaledb') then
    perform create_hypertable(
      'reading', 'time', chunk_time_interval => interval '7 days', create_default_indexes => false, migrate_data => true);
    begin
      execute 'alter table reading set (timescaledb.compress, timescaledb.compress_segmentby = ''vehicle_id'','
        || ' timescaledb.compress_orderby = ''time'')';
    exception when feature_not_supported then
      raise notice 'gearhold: this build of timescaledb cannot compress; readings stay uncompressed';
    end;
  end if;
end
$$;
