package truing_test

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/wheel"
	"tracewright/models/work/truing"
)

// A wheel dished so far that the looser side would lie below the least tension of
// a spoke: both sides are raised, as far as the ceiling leaves room, and there is
// always something to do of all nipples where there is of few.
func TestADishedWheelKeepsItsLooserSideTaut(t *testing.T) {
	f := form(32)
	f.Wheel.Geometry.FlangeOffsetA, f.Wheel.Geometry.FlangeOffsetB = "14", "36"
	s := at(shop(t), 32, f)
	b := trueBuild(32, 1.2, 4e-5)
	b.FlangeOffsetA, b.FlangeOffsetB = 14, 36
	model, err := wheel.NewModel(b)
	s.Must(err)
	s.truth = model.Influence()
	tight, loose := model.StartTensions()
	for j := range s.tension {
		s.tension[j] = []float64{tight, loose}[j%2] * 0.95 // About 1000 and 390 N, of 450 that a spoke is to have.
	}
	s.spoil(0.8)
	for range 4 {
		sheet := s.list(s.read().Inspection.ID)
		if sheet.State != truing.Ready {
			break
		}
		p := sheet.Plan
		if least := p.Limits.TensionMin; p.TargetB < least || p.TargetA > p.Limits.Ceiling {
			t.Errorf("wanted %.0f and %.0f N, between %.0f and %.0f", p.TargetA, p.TargetB, least, p.Limits.Ceiling)
		}
		if len(p.All.Turns) == 0 {
			t.Errorf("no turn of all, %d of few nipples", len(p.Short.Turns))
		}
		s.turn(s.tick(sheet, models.TurnsAll), 0.1)
	}
	if low := slices.Min(s.tension); low < 400 {
		t.Errorf("the slackest spoke ends at %.0f N", low)
	}
}
