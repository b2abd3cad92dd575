package gauges_test

import (
	"context"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

// readAt is a new wheel read with one dial at a moment, not sent yet.
func (r *room) readAt(dial, moment string) models.Submission {
	r.Helper()
	now := r.Now
	defer func() { r.Now = now }()
	r.at(moment)
	sub := r.Extremes()
	sub.Serial, sub.FinishedAt = *r.AnotherWheel().Serial, r.Now
	for i := range 2 {
		sub.Sets[i].Instrument = dial
	}
	return sub
}

// newest looks at what needs somebody, and gives the newest answer about a gauge and how
// many there are.
func (r *room) newest(t *testing.T, code string) (models.TraceContent, int) {
	t.Helper()
	_, err := r.s.Undecided(t.Context())
	r.Must(err)
	traces, err := r.s.Traces(t.Context(), code)
	r.Must(err)
	if len(traces) == 0 {
		return models.TraceContent{}, 0
	}
	v, err := r.s.Traced(t.Context(), code, traces[0].ID)
	r.Must(err)
	return v.Content, len(traces)
}

func holdsInspection(c models.TraceContent, id string) bool {
	for _, set := range c.Sets {
		if set.Inspection == id {
			return true
		}
	}
	return false
}

// What comes late is traced though less lies in the window than before: a good
// calibration that was entered meanwhile has made it shorter.
func TestAReadingThatComesLateIsTracedInANarrowerWindow(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		for _, at := range []string{"2031-05-12T09:00:00Z", "2031-05-12T10:00:00Z"} {
			r.at(at)
			r.wheel("D-1", "0.10", "-0.10")
		}
		late := r.readAt("D-1", "2031-05-13T12:00:00Z")
		r.check("2031-05-13T15:00:00Z", "1.10")
		if c, n := r.newest(t, "D-1"); n != 1 || len(c.Sets) != 4 {
			t.Fatalf("%d answers, the newest of %d sets", n, len(c.Sets))
		}
		r.at("2031-05-14T09:00:00Z")
		in := ofDay("2031-05-13", "1.00")
		in.Time = "08:00"
		_, err := r.s.Calibrate(t.Context(), r.Owner, "D-1", in)
		r.Must(err)
		r.at("2031-05-14T09:10:00Z")
		came := r.MustRecord(late).Inspection
		r.at("2031-05-14T09:20:00Z")
		c, n := r.newest(t, "D-1")
		if n != 2 || len(c.Sets) != 2 || !holdsInspection(c, came.ID) {
			t.Errorf("%d answers, the newest of %+v", n, c.Sets)
		}
	})
}

// A gauge that was held against one which failed is suspect until its own next check: what
// it read after the failure, before that was traced, is traced when it comes.
func TestAReadingFromAfterTheFailureOfAStandardIsTraced(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		r.at("2031-05-12T09:00:00Z")
		r.calibrate("D-2", "D-1", true, true)
		late := r.readAt("D-2", "2031-05-13T12:00:00Z")
		r.at("2031-05-14T09:00:00Z")
		_, err := r.s.Calibrate(t.Context(), r.Owner, "D-1", ofDay("2031-05-13", "1.10"))
		r.Must(err)
		r.at("2031-05-14T09:10:00Z")
		came := r.MustRecord(late).Inspection
		r.wheel("D-2", "0.10", "-0.10")
		r.at("2031-05-14T09:20:00Z")
		c, n := r.newest(t, "D-1")
		if n != 2 || !holdsInspection(c, came.ID) {
			t.Errorf("%d answers, the newest of %+v", n, c.Sets)
		}
		for range 3 { // D-2 reads on, and each look would find more.
			r.Now = r.Now.Add(time.Hour)
			r.wheel("D-2", "0.10", "-0.10")
			r.Now = r.Now.Add(time.Hour)
			if _, n := r.newest(t, "D-1"); n != 2 {
				t.Errorf("%d answers", n)
			}
		}
	})
}

// between is a store in which something happens once: before an answer is kept, or
// before one is said to lack nothing.
type between struct {
	*store.Store
	kept, lacks func()
}

func once(f *func()) {
	if do := *f; do != nil {
		*f = nil
		do()
	}
}

func (b *between) AddGaugeTrace(ctx context.Context, stamp models.Stamp, t models.GaugeTrace) (models.GaugeTrace, error) {
	once(&b.kept)
	return b.Store.AddGaugeTrace(ctx, stamp, t)
}

func (b *between) TraceLacksNothing(ctx context.Context, id string, arrived time.Time) error {
	once(&b.lacks)
	return b.Store.TraceLacksNothing(ctx, id, arrived)
}

// What comes while an answer is made, or while one is found to lack nothing, is in the
// next.
func TestAReadingThatComesAsATraceIsMadeIsTraced(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		s := &between{Store: r.Store}
		r.s = gauges.New(s, r.Capture, r.Clock, worktest.Zone)
		var came []models.Inspection
		comes := func(sub models.Submission) func() {
			return func() { came = append(came, r.MustRecord(sub).Inspection) }
		}
		first, second, third := r.readAt("D-1", "2031-05-12T12:00:00Z"), r.readAt("D-1", "2031-05-12T13:00:00Z"), r.readAt("D-1", "2031-05-12T14:00:00Z")
		s.kept = comes(first)
		r.check("2031-05-13T15:00:00Z", "1.10")
		s.kept = comes(second)
		want := func(at string, answers int) {
			t.Helper()
			r.at(at)
			c, n := r.newest(t, "D-1")
			if n != answers {
				t.Errorf("%s: %d answers, want %d", at, n, answers)
			}
			for k := range answers - 1 {
				if !holdsInspection(c, came[k].ID) {
					t.Errorf("%s: number %d that came is not in it", at, k+1)
				}
			}
		}
		want("2031-05-13T15:01:00Z", 1)
		want("2031-05-13T15:10:00Z", 2)
		want("2031-05-13T15:20:00Z", 3)
		s.lacks = comes(third)
		want("2031-05-13T15:30:00Z", 3)
		if s.lacks != nil {
			t.Error("nothing was found to be lacking, and that was not said")
		}
		want("2031-05-13T15:40:00Z", 4)
		want("2031-05-13T15:50:00Z", 4)
		want("2031-05-13T16:00:00Z", 4)
	})
}
