package truing_test

import (
	"math"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/wheel"
	"tracewright/models/work/truing"
)

// Wheels on rims from 0.6 to 1.6 times as stiff as assumed, with seats that
// give, errors of the rim itself, hands that err by a tenth and gauges that
// scatter, from 0.5 to 1.6 mm to the side: three rounds through the service,
// what was learned included. Judged on the true wheel, nine in ten meet the
// limits of their specification in run-out, nine in ten in tension, and none
// that was turned as listed is stopped.
func TestRoundsThroughTheService(t *testing.T) {
	const wheels, rims = 12, 6
	h := shop(t)
	runOut, tension := 0, 0
	for n := range uint64(wheels) {
		f := form(36)
		f.Wheel.Rim = string(rune('A' + n%rims))
		s := at(h, 100+n, f)
		factor := 0.6 * math.Pow(1.6/0.6, float64(n%rims)/(rims-1))
		model, err := wheel.NewModel(trueBuild(36, factor, 8e-5))
		h.Must(err)
		s.truth = model.Influence()
		s.spoil(0.5 + 1.1*s.random.Float64())
		s.rimFaults()
		for round := range 3 {
			sheet := s.list(s.read().Inspection.ID)
			if sheet.State == truing.Nothing || sheet.State == truing.Slack {
				break
			}
			if sheet.State != truing.Ready {
				t.Errorf("wheel %d, round %d, rim of %.2f: %s, %+v", n, round+1, factor, sheet.State, sheet.Stop)
				break
			}
			s.turn(s.tick(sheet, models.TurnsAll), 0.1)
		}
		deviation := math.Max(s.deviation(0), s.deviation(1))
		t.Logf("rim of %.2f: lateral %.2f, radial %.2f mm, largest deviation %.1f %%", factor, spread(s.lateral), spread(s.radial), deviation)
		if spread(s.lateral) <= 0.30 && spread(s.radial) <= 0.50 {
			runOut++
		}
		if deviation <= 15 {
			tension++
		}
	}
	if runOut < wheels*9/10 || tension < wheels*9/10 {
		t.Errorf("run-out met by %d and tension by %d of %d wheels", runOut, tension, wheels)
	}
}

// rimFaults gives the rim errors of its own: a saddle of 0.1 mm, an eccentric
// and three-waved roundness, a joint.
func (s *stand) rimFaults() {
	phase := 2 * math.Pi * s.random.Float64()
	for j := range s.holes {
		at := 2*math.Pi*float64(j)/float64(s.holes) - phase
		s.lateral[j] += 0.1 * math.Cos(2*at)
		s.radial[j] += 0.1*math.Cos(at) + 0.05*math.Cos(3*at)
	}
	s.radial[s.holes/2] += 0.08
}

// deviation is the true largest deviation from the mean of a side, %.
func (s *stand) deviation(side int) float64 {
	mean, worst := 0.0, 0.0
	for j := side; j < s.holes; j += 2 {
		mean += s.tension[j] / float64(s.holes/2)
	}
	for j := side; j < s.holes; j += 2 {
		worst = math.Max(worst, 100*math.Abs(s.tension[j]-mean)/mean)
	}
	return worst
}
