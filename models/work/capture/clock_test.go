package capture_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

// A gauge that was put out of use while the server's clock was ahead judges nothing once
// that is right, and what is said of it afterwards counts from when it is said.
func TestAGaugePutOutWhileTheClockWasAhead(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		began := h.Now
		register := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		turn := func(at time.Duration, state string) {
			t.Helper()
			h.Now = began.Add(at)
			v, err := register.Instrument(t.Context(), "D-1")
			h.Must(err)
			from, err := models.Digest(v.Instrument)
			h.Must(err)
			v.Instrument.State = state
			_, err = register.Update(t.Context(), h.Owner, "D-1", from, v.Instrument)
			h.Must(err)
		}
		want := func(at time.Duration, verdict string) {
			t.Helper()
			h.Now = began.Add(at)
			sub := h.Extremes()
			sub.Serial = *h.AnotherWheel().Serial
			if got := h.MustRecord(sub); lateral(got.Results) != verdict {
				t.Errorf("at %s: %q, want %q; %+v", at, lateral(got.Results), verdict, got.Inspection.Remarks)
			}
		}
		turn(5*time.Hour, models.InstrumentOut) // Four hours ahead.
		want(65*time.Minute, models.VerdictNone)
		turn(2*time.Hour, models.InstrumentInUse)
		want(2*time.Hour+10*time.Minute, models.VerdictPass)
		turn(3*time.Hour, models.InstrumentOut)
		want(3*time.Hour+10*time.Minute, models.VerdictNone)
		want(9*time.Hour, models.VerdictNone)
	})
}
