package web

import "testing"

func TestAValueNeverLiesBelowItself(t *testing.T) {
	for _, row := range []struct{ value, limit, v, l string }{
		{"0.08", "0.1024", "0.08", "0.10"},
		{"0.10", "0.1024", "0.100", "0.102"},
		{"0.1", "0.10002", "0.10000", "0.10002"},
	} {
		if v, l := apart(row.value, row.limit, 2); v != row.v || l != row.l {
			t.Errorf("%s beside %s reads %s and %s, want %s and %s", row.value, row.limit, v, l, row.v, row.l)
		}
	}
}
