package storetest

import (
	"errors"
	"testing"
)

// heard is a test that only notes how it was ended.
type heard struct {
	testing.TB
	ended string
}

func (h *heard) Helper()      {}
func (h *heard) Fatal(...any) { h.say("failed") }
func (h *heard) Skip(...any)  { h.say("left out") }

func (h *heard) say(how string) {
	if h.ended == "" { // The first ends a real one.
		h.ended = how
	}
}

// Where nothing may be left out, only what the machine was found not to let anybody
// do is.
func TestLeaveOut(t *testing.T) {
	for _, c := range []struct{ all, without, want string }{
		{"", "", "left out"}, {"1", "", "failed"}, {"1", Immutable, "failed"}, {"1", Mount, "left out"}, {"1", Immutable + " " + Mount, "left out"},
	} {
		t.Setenv("TRACEWRIGHT_TEST_ALL", c.all)
		t.Setenv("TRACEWRIGHT_TEST_WITHOUT", c.without)
		h := &heard{TB: t}
		LeaveOut(h, Mount, errors.New("not permitted"))
		if h.ended != c.want {
			t.Errorf("%+v: it %s", c, h.ended)
		}
	}
}
