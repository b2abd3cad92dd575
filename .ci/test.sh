#!/usr/bin/env bash
# Every test on both databases, with a real browser. On Debian or Ubuntu it installs what is missing, as root;
# elsewhere install PostgreSQL 15, Chromium, poppler-utils, zbar-tools, dmtx-utils, qpdf and Node 20 first.
# Nothing is skipped here: a missing server or browser is a failure (TRACEWRIGHT_TEST_ALL=1), and so is a disk that
# cannot be made small or read-only, unless the machine lets nobody do that, which is told.
set -euo pipefail
cd "$(dirname "$0")/.."
started=$SECONDS
step() { printf '\n== %s (%d s)\n' "$1" $((SECONDS - started)); }

# What is tested is what is built: README.md says what these leave out.
export GOFLAGS="$(go env GOFLAGS) -tags=nomsgpack,nopgxregisterdefaulttypes"

step "programs the tests need"
missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v pdftotext >/dev/null || missing+=(poppler-utils)
command -v zbarimg >/dev/null || missing+=(zbar-tools)
command -v dmtxread >/dev/null || missing+=(dmtx-utils)
command -v qpdf >/dev/null || missing+=(qpdf)
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || missing+=(postgresql)
command -v node >/dev/null || missing+=(nodejs)
if [ ${#missing[@]} -gt 0 ]; then
  if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
    echo "missing: ${missing[*]}; install them and run again" >&2
    exit 1
  fi
  export DEBIAN_FRONTEND=noninteractive
  apt-get update -qq
  apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
fi

step "a place in memory for what tests write, where the machine has room and lets one be made"
# Some thousand small databases are made and thrown away. On a disk most of the time goes into waiting for it.
place=$(mktemp -d /tmp/tw.XXXXXX) # short: a socket's path may have 107 bytes
in_memory() {
  awk '/^MemAvailable/ { enough = $2 > 8e6 } END { exit !enough }' /proc/meminfo && mount -t tmpfs -o size=4g none "$place"
}
if ! in_memory 2>/dev/null; then
  umount -l "$place" 2>/dev/null || true
  echo "none here: it takes longer"
fi
chmod 755 "$place" # PostgreSQL is somebody else
leave_place() {
  cd /
  umount -l "$place" 2>/dev/null || true
  rm -rf "$place"
}
trap leave_place EXIT
mkdir -m 1777 "$place/tmp"
export GOTMPDIR=${TMPDIR:-/tmp} # what go itself makes is large, and stays where it was
export TRACEWRIGHT_TEST_DISK=$GOTMPDIR # where a file that is made read-only holds off whoever has it open, too
export TMPDIR=$place/tmp

step "what this machine lets tests do"
. .ci/without.sh
. .ci/only.sh

step "a private PostgreSQL"
pgbin=${PGBIN:-$(ls -d /usr/lib/postgresql/*/bin | sort -V | tail -n 1)}
pgdir=$place/pg
mkdir "$pgdir"
as=()
if [ "$(id -u)" = 0 ]; then
  chown postgres "$pgdir"
  as=(runuser -u postgres --)
fi
stop_postgres() {
  cd /
  "${as[@]}" "$pgbin/pg_ctl" -D "$pgdir/data" -m immediate -w stop >/dev/null 2>&1 || true
  leave_place
}
trap stop_postgres EXIT
here=$PWD
cd "$pgdir"
"${as[@]}" "$pgbin/initdb" -D "$pgdir/data" -U postgres -A trust -E UTF8 --locale=C >/dev/null
"${as[@]}" "$pgbin/pg_ctl" -D "$pgdir/data" -w -l "$pgdir/log" \
  -o "-c listen_addresses='' -c unix_socket_directories='$pgdir' -c fsync=off -c max_connections=300" start >/dev/null
cd "$here"
export TRACEWRIGHT_TEST_POSTGRES="host=$pgdir user=postgres dbname=postgres"
export TRACEWRIGHT_TEST_ALL=1
export TRACEWRIGHT_SEAL_SECONDS=10

# Packages under testdata are not part of ./... and are named.
packages=(./... $(find testdata -name '*.go' -printf './%h\n' | sort -u))

step "form: gofmt, go vet, staticcheck"
unformed=$(gofmt -l .)
if [ -n "$unformed" ]; then
  echo "not formatted by gofmt:" $unformed >&2
  exit 1
fi
go vet "${packages[@]}"
go tool staticcheck "${packages[@]}"

step "browser modules"
node --test server/web/static/tests/*.test.js | tail -n 9

step "every package"
# The longest first, and three at a time: much of a walk through pages, or of a fault, is waiting.
go test -count=1 -vet=off -timeout 18m -p 3 ./server/webtest ./server ./server/servertest ./testdata/demo ./models/store "${packages[@]}"

step "race detector, where much goes on at once and it is quick; long.sh has the rest"
go test -count=1 -race ./models/work/stands ./server/trust
only 'Stream|Rush|Slow|UnderWay' -race ./server/httpx

step "a minute of fuzzing over the decoders of bytes from outside"
bash .ci/fuzz.sh 60

step "done"
