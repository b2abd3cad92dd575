package truing_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/truing"
)

// passing is a wheel that passes and has a list all the same: a tension lies
// above the ceiling.
func passing(t *testing.T) (*stand, truing.Sheet) {
	t.Helper()
	f := form(36)
	f.Wheel.RimMaxTension = "1120"
	s := at(shop(t), 31, f).spoil(0.15)
	out := s.read()
	sheet := s.list(out.Inspection.ID)
	if out.Inspection.Verdict != models.VerdictPass || sheet.State != truing.Ready {
		t.Fatalf("verdict %s, state %s: want a wheel that passes and has a list", out.Inspection.Verdict, sheet.State)
	}
	s.blocked(t, "")
	return s, sheet
}

// quick reads the wheel by its extremes; it passes.
func (s *stand) quick() models.Submission {
	s.Helper()
	s.Now = s.Now.Add(20 * time.Minute)
	sub := s.Extremes()
	sub.Serial, sub.StartedAt, sub.FinishedAt = *s.item.Serial, s.Now.Add(-5*time.Minute), s.Now
	s.MustRecord(sub)
	return sub
}

// Whatever else is recorded of it, a wheel turned since the readings that would
// be certified is not released until it is judged again.
func TestATurnedWheelIsNotReleased(t *testing.T) {
	t.Run("read again at a stage that does not judge", func(t *testing.T) {
		s, sheet := passing(t)
		s.turn(s.tick(sheet, models.TurnsAll), 0)
		sub := s.submission()
		sub.Stage = models.BeforeRelief
		s.send(sub)
		s.blocked(t, "turned_since")
	})
	t.Run("its newer readings are moved away", func(t *testing.T) {
		s, sheet := passing(t)
		s.turn(s.tick(sheet, models.TurnsAll), 0)
		second := s.read()
		s.blocked(t, "")
		other := s.AnotherWheel()
		_, err := s.Capture.Move(t.Context(), s.Operator, second.Inspection.ID, *other.Serial, "wrong wheel")
		s.Must(err)
		s.blocked(t, "turned_since")
		if third := s.list(s.read().Inspection.ID); third.After == nil || third.After.Turned != len(sheet.Plan.All.Turns) {
			t.Errorf("the next readings are compared with %+v, want the turns that stand", third.After)
		}
		s.blocked(t, "")
	})
	t.Run("the readings of its list were taken for another's", func(t *testing.T) {
		s := at(shop(t), 31, form(36)).spoil(0.6) // on the stand
		typed := at(s.Shop, 77, form(36))         // its serial was typed
		sub := s.submission()
		sub.Serial = *typed.item.Serial
		sheet := s.list(s.send(sub).Inspection.ID)
		s.turn(s.tickSome(sheet, 4), 0)
		moved, err := s.Capture.Move(t.Context(), s.Operator, sheet.Inspection.ID, *s.item.Serial, "wrong wheel")
		s.Must(err)
		s.blocked(t, "turned_since")
		typed.blocked(t, "")
		if got := s.list(moved.Inspection.ID); got.State != truing.Missing || missingCodes(got)[0] != "turned_since" {
			t.Errorf("a list of readings from before four turns: state %s", got.State)
		}
		if next := s.list(s.read().Inspection.ID); next.After == nil || next.After.Turned != 4 || next.State == truing.Stopped {
			t.Errorf("the next readings: state %s, compared with %+v, want four turns", next.State, next.After)
		}
	})
	t.Run("the readings are corrected later", func(t *testing.T) {
		s, sheet := passing(t)
		first, err := s.Store.InspectionView(t.Context(), sheet.Inspection.ID)
		s.Must(err)
		s.turn(s.tick(sheet, models.TurnsAll), 0)
		s.Now = s.Now.Add(time.Hour)
		sub := s.EveryHole()
		sub.Serial, sub.Corrects, sub.Reason, sub.StartedAt, sub.FinishedAt = *s.item.Serial, sheet.Inspection.ID, "a decimal", s.Now.Add(-30*time.Minute), s.Now
		for i := range sub.Sets {
			for _, set := range first.Sets {
				if set.Code == sub.Sets[i].Characteristic {
					sub.Sets[i].Values = set.Values
				}
			}
		}
		if corrected := s.send(sub); !corrected.Inspection.MeasuredAt.After(first.Inspection.MeasuredAt) {
			t.Fatal("the correction is not finished later")
		}
		s.blocked(t, "turned_since")
	})
	t.Run("turned back after the check", func(t *testing.T) {
		s, sheet := passing(t)
		s.tickSome(sheet, 1)
		s.quick()
		s.blocked(t, "")
		s.Now = s.Now.Add(time.Minute)
		_, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsShort, 1, false, truing.Sent{})
		s.Must(err)
		s.blocked(t, "turned_since")
		_, err = s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsShort, 1, true, truing.Sent{})
		s.Must(err)
		s.blocked(t, "") // As it was when it was read.
	})
}

// Turns that reach the office after the readings that followed them stand on
// record; the comparison that did not know of them is settled and teaches
// nothing.
func TestTurnsThatComeAfterTheReadings(t *testing.T) {
	s := at(shop(t), 5, form(36)).spoil(0.9)
	sheet := s.list(s.read().Inspection.ID)
	all := sheet.Plan.All.Turns
	turns := make([]float64, s.holes)
	for _, x := range all {
		turns[x.Spoke] += x.Turns
	}
	s.turn(turns, 0)
	for n := range 3 {
		_, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsAll, n+1, true, truing.Sent{})
		s.Must(err)
	}
	made := s.Now
	second := s.list(s.read().Inspection.ID)
	if second.After == nil || second.After.Turned != 3 {
		t.Fatalf("compared with %+v, want three turns", second.After)
	}
	if before := s.sheet(sheet.Inspection.ID); !before.Closed {
		t.Error("the list of the readings before is open still")
	}
	s.Now = s.Now.Add(10 * time.Minute)
	for n := 3; n < len(all); n++ {
		_, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsAll, n+1, true, truing.Sent{At: made, SentAt: s.Now})
		s.Must(err)
	}
	if _, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsAll, 1, false, truing.Sent{}); refusedFor(err) != "turns_closed" {
		t.Errorf("a turn taken back after the readings: %v", err)
	}
	if before := s.sheet(sheet.Inspection.ID); len(before.Done) != len(all) || !before.Closed {
		t.Errorf("%d turns on record, closed %v; want %d in a closed list", len(before.Done), before.Closed, len(all))
	}
	if got := s.sheet(second.Inspection.ID); second.State != truing.Stopped || got.State != truing.Unmade {
		t.Errorf("state %s before the late turns, %s after: want a stop, and then a list to be made", second.State, got.State)
	}
	got := s.list(second.Inspection.ID)
	if got.Answered == nil || got.Answered.Cause != models.LateTurns || got.State == truing.Stopped {
		t.Errorf("the comparison: state %s, answered %+v", got.State, got.Answered)
	}
	s.blocked(t, "")
	rounds, err := s.Store.TurnRoundsThatTeach(t.Context(), "fen 26 | 2.6 plain", 9)
	s.Must(err)
	if len(rounds) != 0 {
		t.Errorf("%d rounds teach, want none", len(rounds))
	}
}

// The later word on a turn counts, in whatever order words come.
func TestTheLaterWordOnATurnCounts(t *testing.T) {
	s := at(shop(t), 5, form(36)).spoil(0.9)
	sheet := s.list(s.read().Inspection.ID)
	tick := func(turned bool, ago time.Duration) int {
		t.Helper()
		got, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsShort, 1, turned, truing.Sent{At: s.Now.Add(-ago), SentAt: s.Now})
		s.Must(err)
		return len(got.Done)
	}
	s.Now = s.Now.Add(time.Hour)
	for _, row := range []struct {
		name   string
		turned bool
		ago    time.Duration
		want   int
	}{
		{"made", true, 30 * time.Minute, 1}, {"taken back", false, 10 * time.Minute, 0},
		{"made before that, told later", true, 20 * time.Minute, 0}, {"made again", true, 5 * time.Minute, 1}, {"taken back before that, told later", false, 8 * time.Minute, 1},
	} {
		if got := tick(row.turned, row.ago); got != row.want {
			t.Errorf("%s: %d turns stand, want %d", row.name, got, row.want)
		}
	}
}
