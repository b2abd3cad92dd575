package web

import "testing"

// A count is written one way wherever it stands: in words where it is small, with
// a comma between its thousands where it is large.
func TestCountsAreWrittenOneWay(t *testing.T) {
	for n, want := range map[int][2]string{1: {"1 change", "One change"}, 3: {"3 changes", "Three changes"}, 999: {"999 changes", "999 changes"}, 36451: {"36,451 changes", "36,451 changes"}} {
		if got := [2]string{plural(n, "change", "changes"), counted(n, "change", "changes")}; got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
