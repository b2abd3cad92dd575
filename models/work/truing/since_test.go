package truing_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/wheel"
	"tracewright/models/work/truing"
)

// refusedFor is the first reason of a refusal, empty for none.
func refusedFor(err error) string {
	var refused *models.RefusedError
	if errors.As(err, &refused) {
		return refused.Reasons[0].Code
	}
	return ""
}

// missingCodes are what a sheet says is missing.
func missingCodes(sheet truing.Sheet) []string {
	var codes []string
	for _, m := range sheet.Missing {
		codes = append(codes, m.Code)
	}
	return codes
}

// An even wheel above its ceiling is never called good: it gets a list that
// brings the highest tension down.
func TestAnEvenWheelAboveItsCeiling(t *testing.T) {
	for _, row := range []struct {
		most  string
		noise float64
	}{{"850", 0}, {"900", 0}, {"1050", 0}, {"1090", 0}, {"850", 0.2}, {"1090", 0.2}, {"1050", 1}, {"1110", 1}} {
		t.Run(fmt.Sprint(row.most, " N, noise ", row.noise), func(t *testing.T) {
			f := form(36)
			f.Wheel.RimMaxTension = row.most
			s := at(shop(t), 8, f)
			s.noise = row.noise
			sheet := s.list(s.read().Inspection.ID)
			if sheet.State != truing.Ready {
				t.Fatalf("state %s, missing %v", sheet.State, missingCodes(sheet))
			}
			p := sheet.Plan
			if !(p.Before.Highest > p.Limits.Ceiling) || !(p.All.After.Highest < p.Before.Highest) {
				t.Errorf("ceiling %.0f N, highest %.1f before and %.1f after", p.Limits.Ceiling, p.Before.Highest, p.All.After.Highest)
			}
			if row.noise == 0 && !p.TakeTensionOut {
				t.Error("an even wheel that is too tight all round does not take tension out")
			}
			if p.All.Highest > p.Before.Highest+p.All.Lift+0.1 {
				t.Errorf("highest on the way %.1f N, at the start %.1f, said to rise by %.1f", p.All.Highest, p.Before.Highest, p.All.Lift)
			}
		})
	}
}

// Read again by its extremes, a wheel that was turned may be released.
func TestReleasedOnAQuickCheck(t *testing.T) {
	s, sheet := passing(t)
	s.turn(s.tick(sheet, models.TurnsAll), 0)
	s.blocked(t, "turned_since")
	s.quick()
	s.blocked(t, "")
}

// A list takes no turn once the wheel was read again at every hole, and two
// lists of one wheel are never worked at once.
func TestAListIsClosedByNewerReadings(t *testing.T) {
	s := at(shop(t), 2, form(36)).spoil(1.1)
	first := s.read().Inspection.ID
	s.list(first)
	second := s.read().Inspection.ID
	sheet := s.list(second)
	if _, err := s.truing.Tick(t.Context(), s.Operator, first, models.TurnsAll, 1, true, truing.Sent{}); refusedFor(err) != "turns_closed" {
		t.Errorf("a turn of the older list: %v", err)
	}
	s.turn(s.tick(sheet, models.TurnsAll), 0)
	if third := s.list(s.read().Inspection.ID); third.State == truing.Stopped || third.After == nil || third.After.Of != second {
		t.Errorf("after the newer list was turned: state %s, compared with %+v", third.State, third.After)
	}
}

// Readings of one quick check close nothing: the list is gone on with.
func TestAQuickCheckLeavesTheListOpen(t *testing.T) {
	s := at(shop(t), 2, form(36)).spoil(1.1)
	sheet := s.list(s.read().Inspection.ID)
	s.tickSome(sheet, 1)
	s.quick()
	if _, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsShort, 2, true, truing.Sent{}); err != nil {
		t.Errorf("the second turn after a quick check: %v", err)
	}
}

// Turns sent late carry the moment at which they were made, by the server's
// clock however the tablet's is set, and the person who made them.
func TestTurnsSentLate(t *testing.T) {
	s := at(shop(t), 9, form(36)).spoil(0.9)
	sheet := s.list(s.read().Inspection.ID)
	made := s.Now
	s.Now = made.Add(40 * time.Minute)
	tablet := s.Now.Add(3 * time.Hour) // as the tablet's clock shows it
	device := s.Operator
	device.DeviceID = models.NewID()
	for i, row := range []struct {
		name  string
		actor models.Actor
		sent  truing.Sent
		by    string
		want  time.Time
	}{
		{"now", s.Operator, truing.Sent{}, s.Operator.PersonID, s.Now},
		{"half an hour ago", s.Operator, truing.Sent{At: tablet.Add(-30 * time.Minute), SentAt: tablet}, s.Operator.PersonID, s.Now.Add(-30 * time.Minute)},
		{"by a clock put on since", s.Operator, truing.Sent{At: tablet.Add(time.Hour), SentAt: tablet}, s.Operator.PersonID, s.Now},
		{"before there was a list", s.Operator, truing.Sent{At: tablet.Add(-3 * time.Hour), SentAt: tablet}, s.Operator.PersonID, made},
		{"another person's, at a tablet", device, truing.Sent{Person: s.Owner.PersonID}, s.Owner.PersonID, s.Now},
	} {
		got, err := s.truing.Tick(t.Context(), row.actor, sheet.Inspection.ID, models.TurnsAll, i+1, true, row.sent)
		if err != nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		if d := got.Done[i]; d.N != i+1 || d.By != row.by || !d.At.Equal(row.want) {
			t.Errorf("%s: %+v, want %s at %s", row.name, d, row.by, row.want)
		}
	}
	var invalid *models.InvalidError
	if _, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsAll, 6, true, truing.Sent{At: tablet}); !errors.As(err, &invalid) || invalid.Problems[0].Field != "sent_at" {
		t.Errorf("a moment without the clock that it is by: %v", err)
	}
	if _, err := s.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsAll, 6, true, truing.Sent{Person: s.Owner.PersonID}); !errors.Is(err, models.ErrForbidden) {
		t.Errorf("another person's outside a tablet: %v", err)
	}
}

// Readings from between two turns of a list say nothing about all of them: they
// are compared with nothing, and the next ones are.
func TestReadingsFromBetweenTheTurns(t *testing.T) {
	s := at(shop(t), 5, form(36)).spoil(0.9)
	sheet := s.list(s.read().Inspection.ID)
	between := s.submission()
	s.turn(s.tick(sheet, models.TurnsAll), 0)
	late := s.send(between) // taken before the turns, sent after them
	if got := s.list(late.Inspection.ID); got.After != nil || !slices.Equal(missingCodes(got), []string{"turned_since"}) {
		t.Errorf("readings from before the turns: compared %v, missing %v", got.After != nil, missingCodes(got))
	}
	if got := s.list(s.read().Inspection.ID); got.State == truing.Stopped || got.After == nil || got.After.Turned != len(sheet.Plan.All.Turns) {
		t.Errorf("the next readings: state %s, compared with %+v", got.State, got.After)
	}
}

// turnedTheOtherWay is a wheel whose short list was ticked off and turned the
// other way round.
func turnedTheOtherWay(t *testing.T) *stand {
	t.Helper()
	s := at(shop(t), 2, form(36)).spoil(0.6)
	turns := s.tick(s.list(s.read().Inspection.ID), models.TurnsShort)
	for j := range turns {
		turns[j] = -turns[j]
	}
	s.turn(turns, 0)
	return s
}

// An answer is taken only at the stop that the wheel stands at.
func TestAnAnswerToAnOlderStop(t *testing.T) {
	s := turnedTheOtherWay(t)
	sub := s.submission()
	first := s.send(sub).Inspection.ID
	if got := s.list(first); got.State != truing.Stopped {
		t.Fatalf("turned the other way: state %s, want a stop", got.State)
	}
	if _, err := s.truing.Answer(t.Context(), s.Operator, first, "not_sure"); err != nil {
		t.Fatal(err)
	}
	second := s.read().Inspection.ID
	if got := s.list(second); got.State != truing.Stopped {
		t.Fatalf("read again: state %s, want a stop still", got.State)
	}
	for _, cause := range []string{wheel.AsListed, wheel.WrongDirection, "not_sure", wheel.SlippedGauge} {
		_, err := s.truing.Answer(t.Context(), s.Operator, first, cause)
		if cause != "not_sure" && refusedFor(err) != "read_again_since" { // That was said: the same again changes nothing.
			t.Errorf("%s said of the older stop: %v", cause, err)
		}
		s.blocked(t, "stop_unanswered")
	}
	if got, err := s.truing.Answer(t.Context(), s.Operator, second, wheel.WrongDirection); err != nil || got.State != truing.Ready {
		t.Errorf("the newer stop answered: state %s, %v", got.State, err)
	}
}

// A stop whose readings were corrected is answered at the correction.
func TestAnAnswerToAReplacedStop(t *testing.T) {
	s := turnedTheOtherWay(t)
	sub := s.submission()
	replaced := s.send(sub).Inspection.ID
	s.list(replaced)
	sub.ID, sub.Corrects, sub.Reason = models.NewID(), replaced, "read again"
	standing := s.send(sub).Inspection.ID
	if _, err := s.truing.Answer(t.Context(), s.Operator, replaced, wheel.WrongDirection); refusedFor(err) != "read_again_since" {
		t.Errorf("an answer to readings that were replaced: %v", err)
	}
	if got := s.list(standing); got.State != truing.Stopped {
		t.Errorf("at the correction: state %s, want the stop", got.State)
	}
}

// A product laced otherwise since: readings taken before it are of another
// wheel. A list begun before is gone on with.
func TestTheProductIsLacedOtherwiseSince(t *testing.T) {
	for _, holes := range []int{32, 34, 38} {
		t.Run(fmt.Sprint(holes), func(t *testing.T) {
			s := at(shop(t), 4, form(36)).spoil(1)
			without := s.read().Inspection.ID
			begun := at(s.Shop, 5, form(36)).spoil(1)
			sheet := begun.list(begun.read().Inspection.ID)
			begun.turn(begun.tickSome(sheet, 2), 0)
			for _, w := range []*stand{s, begun} {
				s.Must(s.Store.AddProductRevision(t.Context(), models.NewStamp(s.Owner, s.Now), models.ProductRevision{ProductID: w.product.ID, Revision: 2, Form: form(holes)}))
			}
			got, made, err := s.truing.Make(t.Context(), s.Operator, without, 0)
			if err != nil || made || !slices.Equal(missingCodes(got), []string{"other_holes"}) {
				t.Errorf("readings of 36 holes: made %v, missing %v, %v", made, missingCodes(got), err)
			}
			if _, err := begun.truing.Tick(t.Context(), s.Operator, sheet.Inspection.ID, models.TurnsShort, 3, true, truing.Sent{}); err != nil {
				t.Errorf("the next turn of a list that was begun: %v", err)
			}
			if got, err := begun.truing.Sheet(t.Context(), sheet.Inspection.ID); err != nil || got.State != truing.Ready || got.Holes != 36 {
				t.Errorf("the list that was begun: state %s, %d holes, %v", got.State, got.Holes, err)
			}
		})
	}
}

// A round in which nothing changed by more than noise teaches nothing: the next
// list is a first one still.
func TestARoundTooSmallToTeach(t *testing.T) {
	s := at(shop(t), 1, form(36)).spoil(1.2)
	sheet := s.list(s.read().Inspection.ID)
	s.turn(s.tickSome(sheet, 1), 0)
	second := s.list(s.read().Inspection.ID)
	if second.After == nil || second.After.Lateral.Told || second.After.Radial.Told || second.After.Tension.Told {
		t.Fatalf("one turn of a sixteenth: compared as %+v, want a change too small to tell", second.After)
	}
	if second.Plan.Learned.Rounds != 0 || second.Plan.LargestTurn != 0.5 {
		t.Errorf("learned from %d rounds, turns up to %g: want none and half a turn", second.Plan.Learned.Rounds, second.Plan.LargestTurn)
	}
}

// Limits between which no tension lies, and more spokes than the model takes.
func TestLimitsThatLeaveNoRoom(t *testing.T) {
	f := form(36)
	f.Wheel.RimMaxTension = "60"
	s := at(shop(t), 7, f).spoil(0.8)
	if got := s.list(s.read().Inspection.ID); !slices.Equal(missingCodes(got), []string{"no_room"}) {
		t.Errorf("a maximum of 60 N: state %s, missing %v", got.State, missingCodes(got))
	}
	wide := at(shop(t), 7, form(72))
	if got := wide.list(wide.read().Inspection.ID); !slices.Equal(missingCodes(got), []string{"too_many_spokes"}) {
		t.Errorf("72 spokes: state %s, missing %v", got.State, missingCodes(got))
	}
}
