package web

import "testing"

// The figures of an incoming inspection as they are read: a share keeps what was
// typed, and a chance is a number of cases.
func TestWhatASampleLetsThroughInWords(t *testing.T) {
	for _, c := range []struct {
		share, passes float64
		want          string
	}{
		{20, 0.0833, "a lot with 20\u00a0% bad would pass in 8 of 100 cases"},
		{0.25, 0.1, "a lot with 0.25\u00a0% bad would pass in 10 of 100 cases"},
		{26.784, 0.1, "a lot with 26.8\u00a0% bad would pass in 10 of 100 cases"},
		{2.5, 0.004, "a lot with 2.5\u00a0% bad would pass in fewer than 1 of 200 cases"},
	} {
		if got := letsThrough(c.share, c.passes); got != c.want {
			t.Errorf("says %q, want %q", got, c.want)
		}
	}
}
