package gauge

import "testing"

// By hand from the rule: 12 x 1.25 = 15, 12 x 0.5 = 6, between 1 and 24.
func TestNextInterval(t *testing.T) {
	for _, test := range []struct {
		name   string
		months int
		found  []bool
		want   int
	}{
		{"in tolerance for the first time", 12, []bool{true}, 12},
		{"twice running", 12, []bool{true, true}, 15},
		{"good again after a failure", 12, []bool{false, true}, 12},
		{"out of tolerance", 12, []bool{true, true, false}, 6},
		{"seven months halve to three whole ones", 7, []bool{false}, 3},
		{"never under one month", 1, []bool{false}, 1},
		{"never over two years", 24, []bool{true, true}, 24},
		{"an interval that was too long comes back", 36, []bool{true}, 24},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := NextInterval(test.months, test.found)
			if err != nil || got != test.want {
				t.Errorf("after %d months, found %v: %d months and %v, want %d", test.months, test.found, got, err, test.want)
			}
		})
	}
	for name, c := range map[string]struct {
		months int
		found  []bool
	}{"no months": {0, []bool{true}}, "a century": {1200, []bool{true}}, "never calibrated": {12, nil}} {
		if got, err := NextInterval(c.months, c.found); err == nil {
			t.Errorf("%s: %d months", name, got)
		}
	}
}
