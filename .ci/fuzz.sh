#!/usr/bin/env bash
# Fuzzes the decoders of bytes that come from outside, each for its share of the time.
#
#   .ci/fuzz.sh 60               60 seconds in all
#   .ci/fuzz.sh --each 300       5 minutes each
#   .ci/fuzz.sh --list           their packages and names
#
# With a share of the time, those whose tests need a database are fuzzed without being led by coverage: to instrument
# an embedded database takes longer than all the rest. With --each all are led.
#
# What a decoder is known to need lies in testdata/fuzz beside its tests, and runs with them on every change. A find
# ends this with a failure and lies there too: keep it with the repair. The calculations of the command line, which
# one target fuzzes kind by kind, are no decoders and have their own turn in long.sh.
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
while read -r package names; do
  by=-fuzz=.
  if [ "$led" = without_database ] && grep -q '^modernc.org/sqlite$' <<<"$(go list -deps -test "$package")"; then
    by=
  fi
  go test -c ${by:+"$by"} -o "$built/fuzz.test" "$package"
  for name in $names; do
    echo "== $name of $package, $each s${by:+, led by coverage}"
    # Run where the tests run, so that a find lands beside them.
    (cd "$package" && fuzz "$built/fuzz.test" -test.run '^$' -test.fuzz "^$name\$" -test.fuzztime "${each}s" -test.fuzzminimizetime 20x \
      -test.fuzzcachedir "$(go env GOCACHE)/fuzz/tracewright/${package#./}")
  done
done <<<"$list"
