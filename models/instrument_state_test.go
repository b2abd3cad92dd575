package models_test

import (
	"testing"
	"time"

	"tracewright/models"
)

func TestStateInForce(t *testing.T) {
	noon := time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	list := []models.InstrumentState{
		{N: 1, State: models.InstrumentInUse, Since: noon},
		{N: 2, State: models.InstrumentOut, Since: noon.Add(time.Hour)},
		{N: 3, State: models.InstrumentOut, OutNote: "to sort", Since: noon.Add(2 * time.Hour)},
		{N: 4, State: models.InstrumentInUse, Since: noon.Add(3 * time.Hour)},
		{N: 5, State: models.InstrumentRetired, Since: noon.Add(3 * time.Hour)},
	}
	for _, c := range []struct {
		name string
		list []models.InstrumentState
		at   time.Duration
		want int // its number, 0 for none
	}{
		{"none is known", nil, 0, 0},
		{"before the first", list, -time.Hour, 1},
		{"at its beginning", list, 0, 1},
		{"just before the next", list, time.Hour - time.Millisecond, 1},
		{"at the beginning of the next, of which the owner spoke later", list, time.Hour, 3},
		{"once the owner has spoken", list, 2*time.Hour + time.Minute, 3},
		{"out, before anybody spoke of it", list[:2], 9 * time.Hour, 2},
		{"the later of two of one moment", list, 3 * time.Hour, 5},
		{"at the end of being out", list, 3*time.Hour - time.Millisecond, 3},
		{"long after", list, 300 * time.Hour, 5},
	} {
		got := 0
		if found := models.StateInForce(c.list, noon.Add(c.at)); found != nil {
			got = found.N
		}
		if got != c.want {
			t.Errorf("%s: number %d, want %d", c.name, got, c.want)
		}
	}
	ahead := []models.InstrumentState{ // Number 2 while a clock was ahead.
		{N: 1, State: models.InstrumentInUse, Since: noon},
		{N: 2, State: models.InstrumentOut, Since: noon.Add(5 * time.Hour)},
		{N: 3, State: models.InstrumentInUse, Since: noon.Add(2 * time.Hour)},
		{N: 4, State: models.InstrumentOut, Since: noon.Add(3 * time.Hour)},
	}
	for at, want := range map[time.Duration]int{time.Hour: 1, 2 * time.Hour: 3, 3 * time.Hour: 4, 9 * time.Hour: 4} {
		if found := models.StateInForce(ahead, noon.Add(at)); found == nil || found.N != want {
			t.Errorf("with one ahead, after %s: %+v, want number %d", at, found, want)
		}
	}
	for n, want := range []time.Duration{0, 0, time.Hour, time.Hour, 3 * time.Hour, 3 * time.Hour} {
		if got := models.StateSince(list[:n]); n == 0 && !got.IsZero() || n > 0 && !got.Equal(noon.Add(want)) {
			t.Errorf("after %d states: since %s, want %s", n, got, want)
		}
	}
}
