# Sourced: only PATTERN ARGUMENTS... runs the tests that fit, of which each part of the pattern (A|B|C) has to fit one:
# go test passes where a pattern fits nothing, and so would a test that was renamed.
only() {
  local pattern=$1 part fitting
  shift
  fitting=$(go test -list "$pattern" "$@" | grep -E '^(Test|Fuzz)' || true)
  for part in ${pattern//|/ }; do
    if ! grep -q -E -- "$part" <<<"$fitting"; then
      echo "*** no test fits $part: $*" >&2
      return 1
    fi
  done
  go test -count=1 -run "$pattern" "$@"
}
