package gauge

import (
	"testing"

	"tracewright/models/numbers/stats"
)

// The interval of the published study: its mean squares by numpy and the quantiles by
// scipy 1.10, stats.chi2.ppf, put into the formula.
func TestGaugeIntervalOfThePublishedStudy(t *testing.T) {
	s, err := Crossed(published(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		pooled    bool
		low, high float64
	}{{false, 0.04992063951757796, 2.1217069312975783}, {true, 0.051735210861022694, 2.1237043948084837}} {
		low, high, err := s.GaugeInterval(test.pooled, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "low", low, test.low, 1e-10)
		near(t, "high", high, test.high, 1e-10)
	}
}

// Of many studies the interval holds the true variance in 95 of 100, small ones too
// (92.5 to 98: the method is an approximation, and 1000 studies are a sample).
func TestGaugeIntervalHoldsTheTruth(t *testing.T) {
	const studies = 1000
	chance := stats.NewRandom(29)
	for _, of := range []struct {
		parts, operators, trials      int
		operator, interaction, repeat float64
	}{{2, 2, 2, 1, 0.5, 1}, {2, 2, 2, 0, 0, 1}, {10, 3, 2, 1, 0.5, 1}, {10, 3, 2, 0.2, 0, 1}} {
		truth, held := square(of.operator)+square(of.interaction)+square(of.repeat), 0
		for range studies {
			s, err := Crossed(drawStudy(chance, of.parts, of.operators, of.trials, 3, of.operator, of.interaction, of.repeat))
			if err != nil {
				t.Fatal(err)
			}
			low, high, err := s.GaugeInterval(false, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if low <= truth && truth <= high {
				held++
			}
		}
		if share := float64(held) / studies; share < 0.925 || share > 0.98 {
			t.Errorf("%+v: held in %.3f of the studies", of, share)
		}
	}
}

func TestGaugeIntervalRefuses(t *testing.T) {
	s, err := Crossed(published(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, confidence := range []float64{0, 1} {
		if low, high, err := s.GaugeInterval(true, confidence); err == nil {
			t.Errorf("confidence %v: %v to %v", confidence, low, high)
		}
	}
}
