#!/usr/bin/env bash
# Fuzzes the decoders of bytes that come from outside, each for its share of the time.
#
#   .ci/fuzz.sh 60                   60 seconds in all
#   .ci/fuzz.sh --each 300           5 minutes each
#   .ci/fuzz.sh --list               their packages and names
#   .ci/fuzz.sh --calculations 30    no decoder: each calculation of the command line, 30 seconds
#
# With a share of the time, those whose tests need a database are fuzzed without being led by coverage: to instrument
# an embedded database takes longer than all the rest. With --each all are led.
#
# What a decoder is known to need lies in testdata/fuzz beside its tests, and runs with them on every change. A find
# ends this with a failure and lies there too: keep it with the repair. The calculations are one target, fuzzed kind by
# kind.
set -euo pipefail
cd "$(dirname "$0")/.."

# A package on each line, with its targets.
targets() {
  grep -rHo --include='*_test.go' '^func Fuzz[A-Za-z]*' . | sed 's|^\(.*\)/[^/]*:func \(Fuzz.*\)|\1 \2|' | grep -v ' FuzzCalc$' | sort |
    awk '{ if ($1 != p) { if (p) print p t; p = $1; t = "" } t = t " " $2 } END { if (p) print p t }'
}

list=$(targets)
led=all
case "${1:-}" in
  --list) echo "$list"; exit ;;
  --each) each=${2:?seconds} ;;
  --calculations) each=${2:?seconds} list= ;;
  *)
    count=$(($(wc -w <<<"$list") - $(wc -l <<<"$list")))
    each=$((${1:?seconds} / count))
    [ "$each" -ge 1 ] || each=1
    led=without_database
    ;;
esac

# fuzz runs one target. Go's fuzzer now and then tells its own deadline as a failure: when it fires, the coordinator may
# hear of it before the context of its workers has, and takes it for an error of theirs (internal/fuzz, CoordinateFuzzing,
# stop). A find is told with its input, a worker that hangs in other words; both still fail.
fuzz() {
  "$@" 2>&1 | tee "$built/said" && return
  if [ "$(sed -n '/^--- FAIL/,$p' "$built/said" | sed 1d)" = "    context deadline exceeded
FAIL" ]; then
    echo "the time was up"
    return
  fi
  return 1
}

built=$(mktemp -d)
trap 'rm -rf "$built"' EXIT
# target PACKAGE NAME CACHE [VARIABLE=VALUE] runs one where the tests run, so that a find lands beside them.
target() {
  (cd "$1" && fuzz env ${4:+"$4"} "$built/fuzz.test" -test.run '^$' -test.fuzz "^$2\$" -test.fuzztime "${each}s" -test.fuzzminimizetime 20x \
    -test.fuzzcachedir "$(go env GOCACHE)/fuzz/tracewright/$3")
}
while read -r package names; do
  [ -n "$package" ] || continue
  by=-fuzz=.
  if [ "$led" = without_database ] && grep -q '^modernc.org/sqlite$' <<<"$(go list -deps -test "$package")"; then
    by=
  fi
  go test -c ${by:+"$by"} -o "$built/fuzz.test" "$package"
  for name in $names; do
    echo "== $name of $package, $each s${by:+, led by coverage}"
    target "$package" "$name" "${package#./}"
  done
done <<<"$list"

[ "${1:-}" = --calculations ] || exit 0
go test -c -fuzz=. -o "$built/fuzz.test" ./server/calc
for kind in $(go run ./server calc --list | grep '^[a-z]' | cut -d' ' -f1); do
  echo "== the calculation $kind, $each s"
  target ./server/calc FuzzCalc "server/calc/$kind" "TRACEWRIGHT_FUZZ_KIND=$kind"
done
