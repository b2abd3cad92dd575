package web

import (
	"slices"
	"strings"
	"testing"
)

// A dial at a stand reads both ways: whoever gives its range is told so there, and not
// by the first reading that is refused.
func TestTheRangeOfAGaugeSaysWhatItIs(t *testing.T) {
	fields := instrumentFields(filled(map[string]string{}), true)
	at := slices.IndexFunc(fields, func(f Field) bool { return f.Name == "range_low" })
	if at < 0 || !strings.Contains(fields[at].Hint, "both ways begins below zero") {
		t.Errorf("%+v", fields)
	}
}
