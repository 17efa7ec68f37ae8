#!/bin/sh
# Entry of the image that postgres-image.sh makes: an empty PostgreSQL server that takes connections from anywhere. For tests:
# nothing is synced to disk, and the password is the one that the test hands in.
set -eu
bin=$(ls -d /usr/lib/postgresql/*/bin | tail -n 1)
data=/tmp/data
printf '%s' "${POSTGRES_PASSWORD:?}" >/tmp/password
chown postgres /tmp/password
su postgres -c "$bin/initdb -D $data -U ${POSTGRES_USER:-postgres} -A scram-sha-256 --pwfile=/tmp/password --no-sync" >/dev/null
rm /tmp/password
echo 'host all all all scram-sha-256' >>"$data/pg_hba.conf"
exec su postgres -c "exec $bin/postgres -D $data -c listen_addresses='*' -c fsync=off -c unix_socket_directories=/tmp"
