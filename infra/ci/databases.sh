#!/usr/bin/env bash
# Finds or makes a real PostgreSQL for the tests: what DATABASE_URL names, a container engine that answers, podman with an image
# of Debian's own packages, or Debian's PostgreSQL as a plain server. The last two install packages, as root, by apt.
#
#   databases.sh FOLDER         prints lines NAME=VALUE for the environment of the tests; progress on standard error
#   databases.sh FOLDER stop    ends what it started
set -uo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$1

if [ "${2:-}" = stop ]; then
  # What an interrupted debootstrap leaves mounted.
  for mounted in "$folder/root/proc" "$folder/root/sys"; do
    while mountpoint -q "$mounted" 2>/dev/null; do umount -l "$mounted" || break; done
  done
  if [ -f "$folder/podman.pid" ]; then kill "$(cat "$folder/podman.pid")"; fi
  if [ -d "$folder/data" ]; then su postgres -c "$(ls -d /usr/lib/postgresql/*/bin | tail -n 1)/pg_ctl -D $folder/data -m immediate stop"; fi
  exit 0
fi

if [ -n "${DATABASE_URL:-}" ]; then exit 0; fi
for engine in docker podman; do
  if command -v "$engine" >/dev/null && [ -n "${DOCKER_HOST:-}" ] && "$engine" info >/dev/null 2>&1; then exit 0; fi
done
if command -v docker >/dev/null && docker info >/dev/null 2>&1; then exit 0; fi
if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
  echo 'databases.sh: not root on a Debian: nothing is installed' >&2
  exit 0
fi
apt-get update -qq >&2 || true

if timeout 120 "$here/postgres-image.sh" "$folder" >"$folder/image.environment"; then
  cat "$folder/image.environment"
  # Public images cannot be pulled where this was needed.
  echo GEARHOLD_TEST_TIMESCALE_IMAGE=none
  exit 0
fi
echo 'databases.sh: no container image could be made; a plain server instead' >&2
"$here/postgres-server.sh" "$folder" || echo 'databases.sh: no server could be started either' >&2
exit 0
