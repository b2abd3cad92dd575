package store_test

import (
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// Whoever holds a device's key may call themselves something else with each request:
// what is kept of that is bounded, what was seen last stays, and it hides no doubt
// about another device.
func TestManyNamesOfOneDeviceAreBounded(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, moment)
		loud, quiet := models.NewID(), models.NewID()
		for _, id := range []string{loud, quiet} {
			h.Must(s.AddDevice(ctx, stamp, models.Device{ID: id, Name: "Tablet", Place: "stand 1", KeyHash: id, EnrolledBy: "p", EnrolledAt: moment}))
		}
		at := func(i int) time.Time { return moment.Add(time.Duration(i) * time.Second) }
		for i := range 130 {
			agent := fmt.Sprintf("program/%d", i)
			_, err := s.SeeDevice(ctx, models.DeviceSighting{DeviceID: loud, Agent: agent, Address: "192.0.2.7", SeenAt: at(i)}, moment.Add(-time.Hour))
			h.Must(err)
			h.Must(s.AddDoubt(ctx, models.DeviceDoubt{DeviceID: loud, Kind: models.DoubtProgram, Agent: agent, Address: "192.0.2.7", SeenAt: at(i)}))
		}
		h.Must(s.AddDoubt(ctx, models.DeviceDoubt{DeviceID: quiet, Kind: models.DoubtTwo, Agent: "x", Address: "192.0.2.8", SeenAt: at(200)}))
		before := must(s.SeeDevice(ctx, models.DeviceSighting{DeviceID: loud, Agent: "program/0", Address: "192.0.2.7", SeenAt: at(130)}, moment.Add(-time.Hour)))
		if n := must(s.DeviceSightings(ctx, loud)); n > 50 || len(before) < 40 || before[0].Agent != "program/129" {
			t.Errorf("%d uses of one device are kept, the last of %d before is %q", n, len(before), before[0].Agent)
		}
		if last := must(s.LastSightings(ctx))[loud]; last.Agent != "program/0" {
			t.Errorf("it was last seen as %q", last.Agent)
		}
		doubts := must(s.OpenDoubts(ctx, 50))
		var times int
		for _, d := range doubts {
			if d.DeviceID == loud {
				times += d.Times
			}
		}
		if n := len(doubts); n > 20 || doubts[n-1].DeviceID != quiet || times != 130 {
			t.Errorf("%d doubts, of %d times, the last about the quiet one: %v", n, times, doubts[n-1].DeviceID == quiet)
		}
	})
}
