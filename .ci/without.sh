# Sourced: tries what tests of faults do and some machines let nobody, to make a small disk and a file that takes
# nothing, and says so where it cannot be. Whatever else is missing stays a failure (TRACEWRIGHT_TEST_ALL=1).
without=()
probe=$(TMPDIR=${TRACEWRIGHT_TEST_DISK:-${TMPDIR:-/tmp}} mktemp -d)
if mount -t tmpfs -o size=1m none "$probe" 2>/dev/null; then
  umount "$probe"
else
  without+=(mount)
fi
touch "$probe/file"
if chattr +i "$probe/file" 2>/dev/null; then
  chattr -i "$probe/file"
else
  without+=(immutable)
fi
rm -rf "$probe"
if [ ${#without[@]} -gt 0 ]; then
  printf '*** NOT TESTED HERE, since the machine does not let it: %s\n*** A full disk, one that is read-only: run this as root, on a machine of its own.\n' "${without[*]}" >&2
fi
export TRACEWRIGHT_TEST_WITHOUT="${without[*]}" TRACEWRIGHT_TEST_ALL=1
