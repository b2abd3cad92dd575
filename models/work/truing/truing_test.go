package truing_test

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/truing"
	"tracewright/models/work/worktest"
)

// A wheel out of true comes within the limits of its specification in three
// rounds, judged on its true shape, and each round that agrees teaches: the
// first list of a rim asks for at most half a turn, later ones for up to one.
func TestAWheelIsTruedInRounds(t *testing.T) {
	storetest.Each(t, func(t *testing.T, db *store.Store) {
		s := at(worktest.On(t, db), 1, form(36)).spoil(1.1)
		before := spread(s.lateral)
		for round := range 3 {
			out := s.read()
			sheet := s.list(out.Inspection.ID)
			if sheet.State == truing.Nothing {
				break
			}
			if sheet.State != truing.Ready {
				t.Fatalf("round %d: state %s, missing %v, stop %+v", round+1, sheet.State, sheet.Missing, sheet.Stop)
			}
			if sheet.Plan.Learned.Rounds != round {
				t.Errorf("round %d: learned from %d rounds", round+1, sheet.Plan.Learned.Rounds)
			}
			if want := []float64{0.5, 1, 1}[round]; sheet.Plan.LargestTurn != want {
				t.Errorf("round %d: at most %g of a turn, want %g", round+1, sheet.Plan.LargestTurn, want)
			}
			if round > 0 && (sheet.After == nil || !sheet.After.Lateral.Told || sheet.After.Lateral.Correlation < 0.7) {
				t.Errorf("round %d says of the one before: %+v", round+1, sheet.After)
			}
			s.turn(s.tick(sheet, models.TurnsAll), 0.1)
		}
		if got := spread(s.lateral); got > 0.30 {
			t.Errorf("lateral was %.2f mm and is %.2f, want at most 0.30", before, got)
		}
		if got := spread(s.radial); got > 0.50 {
			t.Errorf("radial is %.2f mm, want at most 0.50", got)
		}
	})
}

// A mistake between two readings is stopped under its name; nothing is turned
// and nothing released before a person has said what happened. Where the turns
// were at fault the readings hold and a new list comes from them.
func TestAMistakeIsStopped(t *testing.T) {
	onward := func(by int) func([]float64) []float64 {
		return func(x []float64) []float64 {
			out := make([]float64, len(x))
			for j, v := range x {
				out[(j+by+len(x))%len(x)] = v
			}
			return out
		}
	}
	for _, row := range []struct {
		cause  string
		turned func([]float64) []float64
	}{
		{"wrong_side", onward(1)},
		{"wrong_spoke", onward(2)},
		{"wrong_direction", func(x []float64) []float64 {
			out := slices.Clone(x)
			for i := range out {
				out[i] = -out[i]
			}
			return out
		}},
	} {
		t.Run(row.cause, func(t *testing.T) {
			s := at(shop(t), 2, form(36)).spoil(0.6)
			sheet := s.list(s.read().Inspection.ID)
			listed := s.tick(sheet, models.TurnsShort)
			s.turn(row.turned(listed), 0.1)
			second := s.read().Inspection.ID
			stop := s.list(second)
			if stop.State != truing.Stopped || stop.Stop.Cause != row.cause {
				t.Fatalf("state %s, stop %+v", stop.State, stop.Stop)
			}
			ways := stop.Stop.Ways
			if ways[0].Cause != row.cause || !ways[0].Best || ways[len(ways)-1].Cause != "not_sure" || len(ways[len(ways)-1].Read) != 2 {
				t.Errorf("ways on: %+v", causesOf(ways))
			}
			if stop.Plan != nil {
				t.Error("a list is shown at a stop")
			}
			again := s.sheet(second)
			if again.State != truing.Stopped {
				t.Errorf("asked again it is %s", again.State)
			}
			if _, err := s.truing.Tick(t.Context(), s.Operator, second, models.TurnsShort, 1, true, truing.Sent{}); !errors.Is(err, models.ErrNotFound) {
				t.Errorf("a turn at a stop: %v", err)
			}
			s.blocked(t, "stop_unanswered")
			answered, err := s.truing.Answer(t.Context(), s.Operator, second, row.cause)
			s.Must(err)
			if answered.State != truing.Ready || answered.Answered == nil || answered.Answered.Cause != row.cause || answered.Plan.Learned.Rounds != 0 {
				t.Errorf("answered it is %s, %+v", answered.State, answered.Answered)
			}
			if _, err := s.truing.Answer(t.Context(), s.Operator, second, row.cause); err != nil {
				t.Errorf("the same answer again: %v", err)
			}
			var refused *models.RefusedError
			if _, err := s.truing.Answer(t.Context(), s.Operator, second, "not_sure"); !errors.As(err, &refused) {
				t.Errorf("another answer after one that settled it: %v", err)
			}
			s.blocked(t, "")
			// The new list is worked, and the wheel is no worse off than before.
			s.turn(s.tick(answered, models.TurnsAll), 0.1)
			if third := s.list(s.read().Inspection.ID); third.State == truing.Stopped {
				t.Errorf("the round after the answer is stopped: %+v", third.Stop.Cause)
			}
		})
	}
}

// Readings at fault are read again: until then there is no list and no
// release, and the corrected ones close the round and teach.
func TestReadingsAtFaultAreReadAgain(t *testing.T) {
	s := at(shop(t), 3, form(36)).spoil(1.6)
	sheet := s.list(s.read().Inspection.ID)
	s.turn(s.tickSome(sheet, 4), 0.05) // What is left out of true is what a mirror shows.
	good := s.submission()
	wrong := good
	wrong.Sets = slices.Clone(good.Sets)
	wrong.Sets[0].Values = negative(good.Sets[0].Values)
	first := s.send(wrong).Inspection.ID
	stop := s.list(first)
	if stop.State != truing.Stopped || stop.Stop.Cause != "other_flank" {
		t.Fatalf("state %s, %+v", stop.State, stop.Stop)
	}
	answered, err := s.truing.Answer(t.Context(), s.Operator, first, "other_flank")
	s.Must(err)
	if answered.State != truing.Missing || len(answered.Missing) != 1 || answered.Missing[0].Code != "read_lateral_again" {
		t.Errorf("answered it is %s, %v", answered.State, answered.Missing)
	}
	s.blocked(t, "readings_to_repeat")
	good.ID, good.Corrects, good.Reason = models.NewID(), first, "gauge on the other flank"
	second := s.send(good)
	sheet = s.list(second.Inspection.ID)
	if sheet.State != truing.Ready && sheet.State != truing.Nothing || sheet.After == nil || sheet.After.Stop != nil {
		t.Fatalf("corrected it is %s, after %+v", sheet.State, sheet.After)
	}
	if sheet.Plan.Learned.Rounds != 1 {
		t.Errorf("learned from %d rounds, want the corrected one alone", sheet.Plan.Learned.Rounds)
	}
	s.blocked(t, "")
	if item, err := s.Store.Item(t.Context(), s.item.ID); err != nil || item.TurnsOpen != nil {
		t.Errorf("the list is still open: %v, %v", item.TurnsOpen, err)
	}
}

// Only the turns that were ticked off are predicted.
func TestAPartOfAListIsCompared(t *testing.T) {
	s := at(shop(t), 4, form(36)).spoil(0.9)
	sheet := s.list(s.read().Inspection.ID)
	s.turn(s.tickSome(sheet, 5), 0.05)
	after := s.list(s.read().Inspection.ID)
	if after.After == nil || after.After.Turned != 5 || after.After.Listed != len(sheet.Plan.Short.Turns) || after.After.Stop != nil {
		t.Errorf("after five turns: %+v", after.After)
	}
}

// Inspections that say nothing about the turns leave the list open: readings by
// extremes, and one that came first.
func TestAListStaysOpenUntilEveryHoleIsRead(t *testing.T) {
	s := at(shop(t), 5, form(36)).spoil(0.9)
	first := s.read().Inspection.ID
	sheet := s.list(first)
	s.turn(s.tick(sheet, models.TurnsShort), 0.05)
	quick := s.Extremes()
	quick.Serial = *s.item.Serial
	out := s.send(quick)
	if got := s.list(out.Inspection.ID); got.State != truing.Missing || got.After != nil {
		t.Errorf("by extremes: %s, %+v", got.State, got.After)
	}
	if got := s.list(s.read().Inspection.ID); got.After == nil || got.After.Of != first {
		t.Errorf("read at every hole: %+v", got.After)
	}
}

func causesOf(ways []truing.Way) []string {
	var list []string
	for _, w := range ways {
		list = append(list, w.Cause)
	}
	return list
}

func negative(values []string) []string {
	out := make([]string, len(values))
	for i, v := range values {
		if out[i] = "-" + v; v[0] == '-' {
			out[i] = v[1:]
		}
	}
	return out
}

// sheet reads what is stored of an inspection.
func (s *stand) sheet(inspection string) truing.Sheet {
	s.Helper()
	sheet, err := s.truing.Sheet(s.Context(), inspection)
	s.Must(err)
	return sheet
}

// blocked says that release gives a reason, or, for an empty code, none of those
// that turns give.
func (s *stand) blocked(t *testing.T, code string) {
	t.Helper()
	reasons, err := s.gate().Gate(t.Context(), s.item.ID)
	s.Must(err)
	var codes []string
	for _, r := range reasons {
		codes = append(codes, r.Code)
	}
	if code != "" && !slices.Contains(codes, code) {
		t.Errorf("release is kept back by %v, want %s among them", codes, code)
	}
	for _, c := range []string{"stop_unanswered", "readings_to_repeat", "turned_since"} {
		if code == "" && slices.Contains(codes, c) {
			t.Errorf("release is kept back: %v", codes)
		}
	}
}

// Readings that are corrected after the list was made: the old list takes no
// more turns, and the next readings are compared with the corrected ones.
func TestCorrectedReadingsBehindAList(t *testing.T) {
	s := at(shop(t), 60, form(36)).spoil(0.9)
	sub := s.submission()
	first := s.send(sub).Inspection.ID
	sheet := s.list(first)
	turns := s.tickSome(sheet, 4)
	sub.Sets = slices.Clone(sub.Sets)
	sub.ID, sub.Corrects, sub.Reason = models.NewID(), first, "radial of spoke 4 was read again"
	corrected := s.send(sub).Inspection.ID
	var refused *models.RefusedError
	if _, err := s.truing.Tick(t.Context(), s.Operator, first, models.TurnsShort, 5, true, truing.Sent{}); !errors.As(err, &refused) {
		t.Errorf("a turn of a list whose readings were replaced: %v", err)
	}
	if got := s.list(corrected); got.After != nil || got.State != truing.Missing || got.Missing[0].Code != "turned_since" {
		t.Errorf("the corrected readings, older than the turns: %s, %v, %+v", got.State, got.Missing, got.After)
	}
	s.turn(turns, 0.05)
	if after := s.list(s.read().Inspection.ID).After; after == nil || after.Of != corrected || after.Turned != 4 || after.Stop != nil {
		t.Errorf("after the turns: %+v", after)
	}
}

// Two tablets ask at once: one list is made, and both have it.
func TestAListIsMadeOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, db *store.Store) {
		s := at(worktest.On(t, db), 70, form(36)).spoil(0.9)
		id := s.read().Inspection.ID
		const tablets = 4
		type answer struct {
			sheet truing.Sheet
			made  bool
			err   error
		}
		answers := make(chan answer, tablets)
		for range tablets {
			go func() {
				sheet, made, err := s.truing.Make(t.Context(), s.Operator, id, 0)
				answers <- answer{sheet, made, err}
			}()
		}
		made := 0
		for range tablets {
			a := <-answers
			if a.err != nil || a.sheet.State != truing.Ready || a.sheet.Plan == nil {
				t.Errorf("state %s, %v", a.sheet.State, a.err)
			}
			if a.made {
				made++
			}
		}
		if list, err := db.TurnList(t.Context(), id); made != 1 || err != nil || list.N != 1 {
			t.Errorf("made %d times, number %d, %v", made, list.N, err)
		}
	})
}

// A correction of readings that agreed takes their place in what is learned,
// also when the next list was begun already.
func TestACorrectionTeachesInstead(t *testing.T) {
	s := at(shop(t), 61, form(36)).spoil(1.4)
	first := s.list(s.read().Inspection.ID)
	s.turn(s.tickSome(first, 5), 0.05)
	sub := s.submission()
	agreed := s.send(sub).Inspection.ID
	second := s.list(agreed)
	if second.After == nil || second.After.Stop != nil || second.Plan == nil {
		t.Fatalf("the first round: %+v", second.After)
	}
	s.tickSome(second, 1)
	sub.ID, sub.Corrects, sub.Reason = models.NewID(), agreed, "radial of spoke 4 was read again"
	corrected := s.send(sub).Inspection.ID
	stop, err := s.Store.TurnStop(t.Context(), corrected)
	s.Must(err)
	taught, err := s.Store.TurnRoundsThatTeach(t.Context(), stop.Round.RimType, 9)
	s.Must(err)
	if len(taught) != 1 || taught[0].InspectionID != corrected {
		t.Errorf("what teaches: %+v", taught)
	}
	item, err := s.Store.Item(t.Context(), s.item.ID)
	s.Must(err)
	if list, err := s.Store.TurnList(t.Context(), agreed); err != nil || item.TurnsOpen == nil || *item.TurnsOpen != list.ID {
		t.Errorf("the list begun since is no longer open: %v, %v", item.TurnsOpen, err)
	}
}
