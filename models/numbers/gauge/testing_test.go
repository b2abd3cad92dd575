package gauge

import (
	"errors"
	"math"
	"strings"
	"testing"

	"tracewright/models/numbers/stats"
)

// near checks a figure against one from outside, within an absolute tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v within %g", what, got, want, tolerance)
	}
}

// refuses checks that an error wraps a reason and names an argument.
func refuses(t *testing.T, err, reason error, argument string) {
	t.Helper()
	var named *stats.ArgumentError
	if !errors.Is(err, reason) || !errors.As(err, &named) || named.Argument != argument || strings.Contains(err.Error(), "\n") {
		t.Errorf("got the error %v; want one of %q that wraps %q", err, argument, reason)
	}
}
