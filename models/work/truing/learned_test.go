package truing_test

import (
	"math"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/wheel"
	"tracewright/models/work/truing"
)

// What rounds on one type of rim and spoke taught is used on the next wheel of
// it, and on no other; a wheel that is a quarter stiffer than assumed and seats
// moves less, and the scales say so.
func TestWhatIsLearnedBelongsToRimAndSpoke(t *testing.T) {
	h := shop(t)
	var tension, lateral float64 // of the true wheels against the model, by their own influences
	for seed := range uint64(4) {
		s := at(h, 30+seed, form(36)).spoil(1.2)
		sheet := s.list(s.read().Inspection.ID)
		if got := sheet.Plan.Learned.Rounds; got != int(seed) {
			t.Fatalf("wheel %d: learned from %d rounds", seed, got)
		}
		turns := s.tick(sheet, models.TurnsAll)
		tension += s.against(turns, sheet.Plan.ModelTension, func(c wheel.Changed) []float64 { return c.Tension }) / 4
		lateral += s.against(turns, sheet.Plan.ModelTension, func(c wheel.Changed) []float64 { return c.Lateral }) / 4
		s.turn(turns, 0.05)
		if after := s.list(s.read().Inspection.ID).After; after == nil || after.Stop != nil {
			t.Fatalf("wheel %d: %+v", seed, after)
		}
	}
	next := at(h, 40, form(36)).spoil(0.9)
	learned := next.list(next.read().Inspection.ID).Plan.Learned
	if learned.Rounds != 4 || learned.Lateral >= 1 || learned.Tension >= 1 {
		t.Errorf("after four stiffer wheels: %+v", learned)
	}
	// Four rounds weigh as much as two of doubt: 1 + (mean - 1) 4/6. Hands that
	// err by 5 % and gauges leave a few percent.
	for _, c := range []struct {
		name      string
		got, mean float64
	}{{"tension", learned.Tension, tension}, {"lateral", learned.Lateral, lateral}} {
		if want := 1 + (c.mean-1)*4/6; math.Abs(c.got-want) > 0.03 {
			t.Errorf("%s: learned %.3f, the wheels are %.3f of the model, want %.3f", c.name, c.got, c.mean, want)
		}
	}
	other := form(36)
	other.Wheel.SpokeType = "2.3 plain"
	if got := at(h, 41, other).spoil(0.9); got.list(got.read().Inspection.ID).Plan.Learned.Rounds != 0 {
		t.Error("another spoke learned from these")
	}
	named := form(36)
	named.Wheel.Rim = " FEN  26 "
	if got := at(h, 42, named).spoil(0.9); got.list(got.read().Inspection.ID).Plan.Learned.Rounds != 4 {
		t.Error("the same rim written otherwise did not")
	}
	noName := form(36)
	noName.Wheel.Rim, noName.Wheel.SpokeType = "", ""
	if got := at(h, 43, noName).spoil(0.9); got.list(got.read().Inspection.ID).Plan.Learned != (truing.Learned{Lateral: 1, Radial: 1, Tension: 1}) {
		t.Error("a rim without a name learned from these")
	}
}

// against is by how much the true wheel moves more or less than the model as it
// was built, for some turns: least squares through zero.
func (s *stand) against(turns []float64, tension float64, of func(wheel.Changed) []float64) float64 {
	s.Helper()
	b := trueBuild(s.holes, 1, 0)
	b.TensionA, b.Waves = tension, s.holes
	model, err := wheel.NewModel(b)
	s.Must(err)
	believed, err := model.Influence().Of(turns)
	s.Must(err)
	is, err := s.truth.Of(turns)
	s.Must(err)
	var pp, po float64
	for i, p := range of(believed) {
		pp += p * p
		po += p * of(is)[i]
	}
	return po / pp
}

// A round that contradicts teaches nothing, whatever is answered.
func TestAContradictionTeachesNothing(t *testing.T) {
	s := at(shop(t), 50, form(36)).spoil(0.9)
	sheet := s.list(s.read().Inspection.ID)
	turns := s.tick(sheet, models.TurnsShort)
	for j := range turns {
		turns[j] = -turns[j]
	}
	s.turn(turns, 0.05)
	id := s.read().Inspection.ID
	if s.list(id).State != truing.Stopped {
		t.Fatal("no stop")
	}
	answered, err := s.truing.Answer(t.Context(), s.Operator, id, "as_listed")
	s.Must(err)
	if answered.State != truing.Ready || answered.Plan.Learned.Rounds != 0 || answered.Plan.LargestTurn != 0.5 {
		t.Errorf("state %s, learned %+v, largest %g", answered.State, answered.Plan.Learned, answered.Plan.LargestTurn)
	}
}
