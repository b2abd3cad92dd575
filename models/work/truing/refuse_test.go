package truing_test

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/truing"
)

// Each row takes one thing away from a wheel that has all it needs: the sheet
// names exactly that, and nothing is stored.
func TestWhatIsMissingIsNamed(t *testing.T) {
	for _, row := range []struct {
		name   string
		form   func(*models.WheelForm)
		sub    func(*models.Submission)
		want   []string
		counts int
	}{
		{"no geometry", func(w *models.WheelForm) { w.Geometry = nil }, nil, []string{"geometry"}, 0},
		{"no rim section", func(w *models.WheelForm) { w.Truing = nil }, nil, []string{"rim_section"}, 0},
		{"no maximum of the rim maker", func(w *models.WheelForm) { w.RimMaxTension = "" }, nil, []string{"rim_max_tension"}, 0},
		{"neither", func(w *models.WheelForm) { w.Geometry, w.Truing, w.RimMaxTension = nil, nil, "" }, nil, []string{"rim_max_tension", "geometry", "rim_section"}, 0},
		{"lateral by extremes", nil, func(sub *models.Submission) {
			sub.Sets[0].Method, sub.Sets[0].Values = models.Extremes, []string{"0.20", "-0.11"}
		}, []string{"lateral_every_hole"}, 0},
		{"no radial", nil, func(sub *models.Submission) { sub.Sets = slices.Delete(sub.Sets, 1, 2) }, []string{"radial_every_hole"}, 0},
		{"tension by sample", nil, func(sub *models.Submission) {
			for i, index := range [][]models.Position{{models.Spoke(0), models.Spoke(12), models.Spoke(24)}, {models.Spoke(7), models.Spoke(19), models.Spoke(31)}} {
				sub.Sets[3+i].Method, sub.Sets[3+i].Values, sub.Sets[3+i].Index = models.Sample, []string{"1000", "1010", "990"}, index
			}
		}, []string{"tension_a_every_hole", "tension_b_every_hole"}, 0},
		{"figures that make no wheel", func(w *models.WheelForm) {
			w.Truing.InPlaneEI, w.Truing.LateralEI, w.Truing.GJ = "0.01", "0.01", "0.01"
		}, nil, []string{"form_impossible"}, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			f := form(36)
			if row.form != nil {
				row.form(f.Wheel)
			}
			s := at(shop(t), 6, f).spoil(0.8)
			sub := s.submission()
			if row.sub != nil {
				row.sub(&sub)
			}
			id := s.send(sub).Inspection.ID
			sheet, made, err := s.truing.Make(t.Context(), s.Operator, id, 0)
			s.Must(err)
			var codes []string
			for _, m := range sheet.Missing {
				codes = append(codes, m.Code)
			}
			if made || sheet.State != truing.Missing || !slices.Equal(codes, row.want) {
				t.Errorf("made %v, state %s, missing %v, want %v", made, sheet.State, codes, row.want)
			}
			if _, err := s.truing.Sheet(t.Context(), id); !errors.Is(err, models.ErrNotFound) {
				t.Errorf("afterwards something is stored: %v", err)
			}
		})
	}
}

func TestSlackSpokesAreNamed(t *testing.T) {
	s := at(shop(t), 7, form(36)).spoil(0.5)
	s.noise = 0
	s.tension[3], s.tension[8] = 120, 0
	sheet := s.list(s.read().Inspection.ID)
	if sheet.State != truing.Slack || !slices.Equal(sheet.Slack, []int{3, 8}) || sheet.Plan != nil {
		t.Errorf("state %s, slack %v", sheet.State, sheet.Slack)
	}
}

// A rim whose maximum lies below what is there: tension is taken out first, by
// a list that only loosens and after which the worst excess is less.
func TestTensionIsTakenOutFirst(t *testing.T) {
	f := form(36)
	f.Wheel.RimMaxTension = "900" // there are 1050 N on side A, and 50 are the gauge's
	s := at(shop(t), 8, f).spoil(0.5)
	sheet := s.list(s.read().Inspection.ID)
	if sheet.State != truing.Ready || !sheet.Plan.TakeTensionOut || !sheet.Plan.TargetsLowered {
		t.Fatalf("state %s, plan %+v", sheet.State, sheet.Plan)
	}
	p := sheet.Plan
	if p.Limits.Ceiling != 850 {
		t.Errorf("ceiling %g N, want 900 less 50", p.Limits.Ceiling)
	}
	for _, list := range []truing.List{p.Short, p.All} {
		if len(list.Turns) == 0 {
			t.Error("an empty list")
		}
		highest := p.Before.Highest
		for i, turn := range list.Turns {
			if turn.Turns >= 0 {
				t.Errorf("turn %d tightens by %g", i+1, turn.Turns)
			}
			if turn.Highest > highest+1 {
				t.Errorf("turn %d lifts the highest tension from %.0f to %.0f", i+1, highest, turn.Highest)
			}
			highest = turn.Highest
		}
		if !(list.After.Highest < p.Before.Highest) {
			t.Errorf("highest before %.0f N, after %.0f", p.Before.Highest, list.After.Highest)
		}
	}
}

// The ceiling is kept at every turn of both lists, and the highest tension on
// the way is the one that is shown.
func TestTheCeilingIsKeptOnTheWay(t *testing.T) {
	for seed := range uint64(4) {
		f := form(36)
		f.Wheel.RimMaxTension = "1250"
		s := at(shop(t), 20+seed, f).spoil(0.6)
		sheet := s.list(s.read().Inspection.ID)
		if sheet.State != truing.Ready {
			t.Fatalf("wheel %d: state %s", seed, sheet.State)
		}
		p := sheet.Plan
		for _, list := range []truing.List{p.Short, p.All} {
			highest := p.Before.Highest
			for _, turn := range list.Turns {
				highest = max(highest, turn.Highest)
				if turn.Highest > max(p.Limits.Ceiling, p.Before.Highest)+0.1 {
					t.Errorf("wheel %d: a turn leads to %.1f N, the ceiling is %.0f", seed, turn.Highest, p.Limits.Ceiling)
				}
			}
			if d := list.Highest - highest; d > 0.1 || d < -0.1 {
				t.Errorf("wheel %d: highest on the way shown as %.1f N, is %.1f", seed, list.Highest, highest)
			}
		}
	}
}

func TestTicks(t *testing.T) {
	s := at(shop(t), 9, form(36)).spoil(0.9)
	ctx := t.Context()
	first := s.read().Inspection.ID
	sheet := s.list(first)
	tick := func(list string, n int, turned bool) (truing.Sheet, error) {
		return s.truing.Tick(ctx, s.Operator, first, list, n, turned, truing.Sent{})
	}
	code := func(err error) string {
		var refused *models.RefusedError
		if errors.As(err, &refused) {
			return refused.Reasons[0].Code
		}
		return ""
	}
	for range 2 { // Repeating is harmless.
		got, err := tick(models.TurnsShort, 2, true)
		s.Must(err)
		if got.Begun != models.TurnsShort || len(got.Done) != 1 || got.Done[0].N != 2 || got.Done[0].By != s.Operator.PersonID || !got.Done[0].At.Equal(s.Now) {
			t.Errorf("after a turn: begun %q, done %+v", got.Begun, got.Done)
		}
	}
	if item, err := s.Store.Item(ctx, s.item.ID); err != nil || item.TurnsOpen == nil {
		t.Errorf("the item does not say that turns are open: %v", err)
	}
	if _, err := tick(models.TurnsAll, 1, true); code(err) != "other_list_begun" {
		t.Errorf("a turn of the other list: %v", err)
	}
	if _, _, err := s.truing.Make(ctx, s.Operator, first, 6); code(err) != "turns_begun" {
		t.Errorf("another short list of one that was begun: %v", err)
	}
	for _, wrong := range []struct {
		list string
		n    int
	}{{"some", 1}, {models.TurnsShort, 0}, {models.TurnsShort, len(sheet.Plan.Short.Turns) + 1}} {
		if _, err := tick(wrong.list, wrong.n, true); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("turn %d of %s: %v", wrong.n, wrong.list, err)
		}
	}
	got, err := tick(models.TurnsShort, 2, false)
	s.Must(err)
	if got.Begun != "" || len(got.Done) != 0 {
		t.Errorf("taken back: begun %q, done %+v", got.Begun, got.Done)
	}
	if item, err := s.Store.Item(ctx, s.item.ID); err != nil || item.TurnsOpen != nil {
		t.Errorf("the item still says that turns are open: %v", err)
	}
	list, err := s.Store.TurnList(ctx, first)
	s.Must(err)
	if history, err := s.Store.TurnsDone(ctx, list.ID); err != nil || len(history) != 2 || !history[0].Turned || history[1].Turned {
		t.Errorf("what was undone does not stay: %+v, %v", history, err)
	}
	shorter, made, err := s.truing.Make(ctx, s.Operator, first, 6)
	s.Must(err)
	if !made || shorter.Plan.Short.Nipples > 6 {
		t.Errorf("made %v with %d nipples, want at most 6", made, shorter.Plan.Short.Nipples)
	}
	if _, err := tick(models.TurnsShort, 1, true); err != nil {
		t.Errorf("a turn of the list made again: %v", err)
	}
	s.turn(s.tick(shorter, models.TurnsShort), 0.05)
	s.read()
	if _, err := tick(models.TurnsShort, 1, false); code(err) != "turns_closed" {
		t.Errorf("taking back after the wheel was read again: %v", err)
	}
	if sheet := s.list(first); sheet.State != truing.Ready {
		t.Errorf("the old list reads as %s", sheet.State)
	}
	for _, short := range []int{-1, 3, 25} {
		var invalid *models.InvalidError
		if _, _, err := s.truing.Make(ctx, s.Operator, first, short); !errors.As(err, &invalid) || invalid.Problems[0].Field != "short" {
			t.Errorf("a short list of %d: %v", short, err)
		}
	}
}

// A list is made of the newest readings, and of nothing but a wheel.
func TestWhatHasNoList(t *testing.T) {
	s := at(shop(t), 10, form(36)).spoil(0.9)
	first := s.read().Inspection.ID
	s.read()
	if sheet := s.list(first); sheet.State != truing.Missing || sheet.Missing[0].Code != "read_again_since" {
		t.Errorf("of readings that were taken again: %s, %v", sheet.State, sheet.Missing)
	}
	pack := s.MustRecord(s.Pack()).Inspection.ID
	if _, _, err := s.truing.Make(t.Context(), s.Operator, pack, 0); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("of a pack: %v", err)
	}
	if _, _, err := s.truing.Make(t.Context(), s.Operator, models.NewID(), 0); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("of nothing: %v", err)
	}
	if _, err := s.truing.Answer(t.Context(), s.Operator, first, "wrong_side"); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("an answer to no stop: %v", err)
	}
	var invalid *models.InvalidError
	if _, err := s.truing.Answer(t.Context(), s.Operator, first, "weather"); !errors.As(err, &invalid) {
		t.Errorf("a cause that is none: %v", err)
	}
}

// A wheel that is good already is left alone.
func TestAGoodWheelIsLeftAlone(t *testing.T) {
	s := at(shop(t), 11, form(36)).spoil(0.1)
	sheet := s.list(s.read().Inspection.ID)
	if sheet.State != truing.Nothing || sheet.Plan == nil {
		t.Errorf("state %s", sheet.State)
	}
}

// A hop at the joint is the rim's: it is named where it is, over its limit or
// under it.
func TestTheRimIsNamed(t *testing.T) {
	for _, row := range []struct {
		name string
		hop  float64
		code string
		over bool
	}{{"over its limit", 1.2, "joint_over", true}, {"worth knowing", 0.3, "joint", false}} {
		t.Run(row.name, func(t *testing.T) {
			s := at(shop(t), 12, form(36)).spoil(0.7)
			s.noise = 0.3
			s.radial[18] += row.hop
			p := s.list(s.read().Inspection.ID).Plan
			if p == nil || p.Rim.Code != row.code || p.Rim.At != 18 || p.Rim.Kind != "hop" || p.Rim.JointFrom > 17 || p.Rim.JointTo < 19 {
				t.Fatalf("said of the rim: %+v", p.Rim)
			}
			if got := slices.Contains(p.RimNotBuilder, "radial_tir"); got != row.over {
				t.Errorf("rim, not builder: %v", p.RimNotBuilder)
			}
		})
	}
}
