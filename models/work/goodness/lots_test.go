package goodness

import "testing"

// Lots that no test tells apart are not said to be alike: up to so much may lie between
// them. Shares and ends: numpy and scipy 1.10, stats.f.ppf(0.05 and 0.95), by the formula
// of stats.Anova.ShareBetween.
func TestLotsThatShowNoDifferenceAreNotSaidToBeAlike(t *testing.T) {
	for _, row := range []struct {
		name   string
		values map[string][]float64
		code   string
		said   map[string]string
	}{
		{"not settled", map[string][]float64{"A": {6, 4, 5, 7, 6}, "B": {7, 8, 6, 6, 5}, "C": {5, 6, 7, 5, 4}}, "good_lots_none", map[string]string{"groups": "3", "share_high": "79.9"}},
		{"apart", map[string][]float64{"A": {12.1, 12.4, 11.9, 12.0, 12.2}, "B": {12.6, 12.9, 12.7, 12.8, 12.5, 12.6}, "C": {12.0, 12.3, 12.2, 12.1, 12.4}}, "good_lots_differ", map[string]string{"groups": "3", "share": "77.2", "share_low": "43.0", "share_high": "98.6"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			lots, err := lotsOf(row.values, map[string]string{}, "V")
			if err != nil {
				t.Fatal(err)
			}
			said := View{Lots: lots}.lots()
			if len(said) != 1 || said[0].Code != row.code {
				t.Fatalf("said %+v, want %s", said, row.code)
			}
			for name, want := range row.said {
				if got := said[0].Values[name]; got != want {
					t.Errorf("%s is %s, want %s", name, got, want)
				}
			}
		})
	}
}
