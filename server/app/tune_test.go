package app

import "testing"

// Memory is given back once after work: not while it goes on, not again while
// nothing new was done, and not for what a server does that nobody asks.
func TestMemoryIsGivenBackAfterWork(t *testing.T) {
	const mb = 1 << 20
	var r resting
	for i, look := range []struct {
		allocated uint64 // in all
		want      bool
		why       string
	}{
		{40 * mb, false, "the start"},
		{40*mb + mb/2, true, "the start is over"},
		{41 * mb, false, "it was given back"},
		{90 * mb, false, "work goes on"},
		{200 * mb, false, "work goes on"},
		{200*mb + 1, true, "the work has ended"},
		{200*mb + mb/2, false, "it was given back"},
		{201 * mb, false, "little was done since"},
	} {
		if got := r.look(look.allocated); got != look.want {
			t.Errorf("look %d, %s: give back %t, want %t", i, look.why, got, look.want)
		}
	}
	if allocated() == 0 {
		t.Error("what was allocated is not known")
	}
}
