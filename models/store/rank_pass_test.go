package store

import (
	"testing"
	"time"

	"tracewright/models"
)

// Rounds and minutes to the first pass after relief, counted by hand: each
// round is the span from opening its form to its last reading; a pause between
// two of them counts below an hour.
func TestRoundsAndMinutesToPass(t *testing.T) {
	at := func(minute int) time.Time {
		return time.Date(2031, 3, 4, 8, 0, 0, 0, time.UTC).Add(time.Duration(minute) * time.Minute)
	}
	round := func(id, stage string, from, to int, passes bool) standing {
		return standing{id: id, stage: stage, startedAt: at(from), measuredAt: at(to), passes: passes}
	}
	after := models.AfterRelief
	for _, c := range []struct {
		name            string
		list            []standing
		on              string // the inspection that says it
		rounds, minutes int
	}{
		{"at once", []standing{round("a", after, 0, 6, true)}, "a", 1, 6},
		{"two rounds, 14 minutes of turning between", []standing{round("a", after, 0, 6, false), round("b", after, 20, 28, true)}, "b", 2, 6 + 14 + 8},
		{"overnight is no work", []standing{round("a", after, 0, 6, false), round("b", after, 900, 905, true)}, "b", 2, 6 + 5},
		{"a pause of an hour is none", []standing{round("a", after, 0, 6, false), round("b", after, 66, 70, true)}, "b", 2, 6 + 4},
		{"a form that is corrected the next day", []standing{round("a", after, 0, 6, false), round("b", after, 20, 1300, true)}, "b", 2, 6 + 14 + 60},
		{"and one below is", []standing{round("a", after, 0, 6, false), round("b", after, 65, 70, true)}, "b", 2, 6 + 59 + 5},
		{"sent in the other order", []standing{round("b", after, 20, 28, true), round("a", after, 0, 6, false)}, "b", 2, 28},
		{"passes again later", []standing{round("a", after, 0, 6, true), round("b", after, 20, 28, true)}, "a", 1, 6},
		{"before relief does not count", []standing{round("a", models.BeforeRelief, 0, 6, true), round("b", after, 20, 28, true)}, "b", 1, 8},
		{"a recheck is no round of it", []standing{round("a", after, 0, 6, false), round("b", models.Recheck, 20, 28, true)}, "", 0, 0},
		{"never", []standing{round("a", after, 0, 6, false)}, "", 0, 0},
		{"a clock that ran backwards", []standing{round("a", after, 10, 6, false), round("b", after, 4, 9, true)}, "b", 2, 5},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, s := range ranked(c.list) {
				want := ranks{}
				if s.id == c.on {
					want = ranks{passRounds: c.rounds, passMinutes: c.minutes}
				}
				if s.passRounds != want.passRounds || s.passMinutes != want.passMinutes {
					t.Errorf("%s says %d rounds and %d minutes, want %d and %d", s.id, s.passRounds, s.passMinutes, want.passRounds, want.passMinutes)
				}
			}
			again := ranked(append([]standing{}, c.list...))
			if len(again) != len(c.list) {
				t.Errorf("%d of %d ranks changed from nothing", len(again), len(c.list))
			}
			if left := ranked(again); len(left) != 0 {
				t.Errorf("ranked again, %d change", len(left))
			}
		})
	}
}
