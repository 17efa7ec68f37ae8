#!/usr/bin/env bash
# Makes a container image with PostgreSQL out of Debian's own packages, and starts podman so that tests can use it. For a
# bare Debian, as root, where no container engine answers and no image can be pulled.
#
#   postgres-image.sh FOLDER    works in FOLDER; prints lines NAME=VALUE for the environment of the tests
#
# The podman service that it leaves running has its process id in FOLDER/podman.pid.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$1
image=localhost/gearhold-postgres:ci

export DEBIAN_FRONTEND=noninteractive
apt-get install -y -qq --no-install-recommends podman runc debootstrap containernetworking-plugins iptables >&2

# crun and the default limits do not work within a container; runc with cgroupfs does.
cat >"$folder/containers.conf" <<'CONF'
[containers]
default_ulimits = ["nofile=1024:1024", "nproc=1000:1000"]
pids_limit = 0
[engine]
runtime = "runc"
cgroup_manager = "cgroupfs"
CONF
export CONTAINERS_CONF="$folder/containers.conf"

if ! podman image exists "$image"; then
  # The mirror and the release that this machine itself installs from.
  read -r site codename < <(apt-get indextargets --format '$(SITE) $(CODENAME)' 'Created-By: Packages' | head -n 1)
  root="$folder/root"
  debootstrap --variant=minbase --include=postgresql "$codename" "$root" "$site" >&2
  install -m 755 "$here/postgres-entry.sh" "$root/entry.sh"
  tar -C "$root" -c . | podman import -c 'ENTRYPOINT ["/entry.sh"]' - "$image" >&2
  rm -rf "$root"
fi

socket="$folder/podman.sock"
podman system service --time=0 "unix://$socket" >"$folder/podman.log" 2>&1 &
echo $! >"$folder/podman.pid"
for _ in $(seq 50); do
  if [ -S "$socket" ]; then break; fi
  sleep 0.2
done
[ -S "$socket" ]
echo "DOCKER_HOST=unix://$socket"
# Its own clean-up container would have to be pulled.
echo TESTCONTAINERS_RYUK_DISABLED=true
echo "GEARHOLD_TEST_POSTGRES_IMAGE=$image"
