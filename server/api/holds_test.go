package api

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/server/httpx"
)

// A recheck that failed raises a hold whose reason are codes; a person reads words.
func TestAHoldSaysItsReasonInWords(t *testing.T) {
	a := &api{services: httpx.Services{}}
	for _, c := range []struct{ code, reason, message string }{
		{"recheck_failed", "adjacent_diff_pct_b", "Neighbour difference, side B"},
		{"W15", "hairline at the valve hole", "Hairline at the valve hole"},
	} {
		got := a.holdOf(models.Hold{Code: c.code, Reason: c.reason, RaisedAt: time.Unix(0, 0)}, nil, nil)
		if got.Reason != c.reason || got.Message != c.message || got.Name == "" {
			t.Errorf("%s: %q, %q (%q); want %q and %q", c.code, got.Reason, got.Message, got.Name, c.reason, c.message)
		}
	}
}
