#!/usr/bin/env bash
# Sees to a Chromium for the browser tests: the one that is there, or Debian's, installed by apt where this runs as root. Nothing
# here may fail the run: without one the tests name what they left out.
set -uo pipefail
if command -v chromium >/dev/null || [ -n "${GEARHOLD_CHROMIUM:-}" ]; then exit 0; fi
if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
  echo 'chromium.sh: there is no Chromium, and not root on a Debian: the browser tests will be left out' >&2
  exit 0
fi
export DEBIAN_FRONTEND=noninteractive
# Another installation may hold the lock for a while.
apt-get -o DPkg::Lock::Timeout=300 update -qq >&2 || true
apt-get -o DPkg::Lock::Timeout=300 install -y -qq --no-install-recommends chromium >/dev/null 2>&1 ||
  echo 'chromium.sh: Chromium could not be installed: the browser tests will be left out' >&2
