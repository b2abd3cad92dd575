#!/usr/bin/env bash
# What takes too long for every change: fuzzing, many kills under load, benchmarks with both databases.
# Run it by hand or at night; it needs what test.sh needs.
set -euo pipefail
cd "$(dirname "$0")/.."
seconds=${FUZZ_SECONDS:-30}
export GOFLAGS="$(go env GOFLAGS) -tags=nomsgpack,nopgxregisterdefaulttypes" # what is tested is what is built
. .ci/without.sh
. .ci/only.sh

echo "== every decoder of bytes from outside"
bash .ci/fuzz.sh --each "${DECODER_SECONDS:-300}"
echo "== every calculation of the command line"
bash .ci/fuzz.sh --calculations "$seconds"

echo "== two hundred wheels at a simulated stand"
TRACEWRIGHT_STAND_WHEELS=200 only SimulatedStand -v ./models/trade/wheel

echo "== race detector"
go test -count=1 -race ./models ./models/trail ./models/words ./models/numbers/measure ./models/numbers/conformity ./models/trade/ident ./models/trade/kinds ./server/httpx
only 'Group|OneBad|Many|Same|Repeat' -race ./models/store

echo "== strange queries, each to both databases"
TRACEWRIGHT_STRANGE=both only StrangeQueries -timeout 30m ./server/servertest

echo "== kills under load"
TRACEWRIGHT_KILLS=${KILLS:-200} only Kill -timeout 60m ./server/...

echo "== faults, each for a minute: disk, database, network, clock, two servers, slow clients"
TRACEWRIGHT_FAULTS=long only 'DiskFull|ReadOnly|Database|AnswerToCommit|NetworkCut|ClockJumps|TwoServers|ThreeDays|SlowClients|HalfSent' -timeout 60m -v ./server
echo "== the program for each system, built twice from nothing in two folders"
TRACEWRIGHT_BUILDS=1 only 'TestBuilds$' -timeout 60m -v ./server

echo "== start, memory and size of one server; run this on a machine that does nothing else"
TRACEWRIGHT_FIGURES=1 only TestFiguresOfOneServer -timeout 20m -v ./server

echo "== eight writers while whoever seals is killed, a minute"
TRACEWRIGHT_SEAL_SECONDS=60 only SealUnderLoad -timeout 20m -v ./models/work/sealing

echo "== twenty shops of which nothing is told: at most four list a difference"
TRACEWRIGHT_QUIET=20 only TestAQuietShopListsNothing -timeout 60m -v ./server

echo "== look-ups among a million items with five million links"
command -v sqlite3 >/dev/null || apt-get install -y -qq --no-install-recommends sqlite3 >/dev/null # its shell's times are told beside
TRACEWRIGHT_SIZE=${SIZE:-1000000} only AtSize -timeout 60m -v ./models/store

echo "== charts over five million results against charts over ten thousand"
TRACEWRIGHT_CHART_SIZE=${CHART_SIZE:-5000000} only 'ChartsAtSize|SignalsAtSize' -timeout 90m -v ./models/store

echo "== random histories: signals that are kept are those that a rebuild finds"
only KeptIsWhatARebuildFinds -timeout 60m ./models/work/watch -rapid.checks=150
echo "== everything that is counted from a million inspections, made anew"
TRACEWRIGHT_TALLY_SIZE=${TALLY_SIZE:-1000000} only RebuildAtSize -timeout 60m -v ./models/store

echo "== a million items in a new file: every record stands in its sealed log"
filled=$(mktemp -d)
go build -o "$filled/tracewright" ./server
"$filled/tracewright" bench --fill "${FILL:-1000000}" --database "sqlite:$filled/big.db"
"$filled/tracewright" verify database --database "sqlite:$filled/big.db"
rm -rf "$filled"

echo "== benchmarks"
go test -run '^$' -bench . -benchtime 5s ./models/... ./reports/... ./server/...
