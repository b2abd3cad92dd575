package capture_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

func TestAClockThreeHoursOffIsCorrectedAndFlagged(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		tablet := h.Now.Add(3 * time.Hour)
		sub := h.Extremes()
		sub.StartedAt, sub.FinishedAt = tablet.Add(-5*time.Minute), tablet.Add(-time.Minute)
		out, err := h.Capture.Record(t.Context(), h.Operator, sub, tablet)
		h.Must(err)
		if !out.Placed || !hasRemark(out.Inspection.Remarks, "clock_differs") || out.Inspection.OffsetMS != (3*time.Hour).Milliseconds() {
			t.Errorf("placed %v, offset %d ms, remarks %v", out.Placed, out.Inspection.OffsetMS, out.Inspection.Remarks)
		}
		if want := h.Now.Add(-time.Minute); !out.Inspection.MeasuredAt.Equal(want) {
			t.Errorf("measured at %s, want %s by the server's clock", out.Inspection.MeasuredAt, want)
		}
	})
}

// A client that does not say its clock has told it by what it read.
func TestAClockAheadIsKeptThoughItIsNotSaid(t *testing.T) {
	for _, c := range []struct {
		ahead  time.Duration
		placed bool
	}{{3 * time.Hour, true}, {40 * time.Hour, false}} {
		h := worktest.New(t)
		sub := h.Extremes()
		sub.StartedAt, sub.FinishedAt = h.Now.Add(c.ahead-5*time.Minute), h.Now.Add(c.ahead)
		out, err := h.Capture.Record(t.Context(), h.Operator, sub, time.Time{})
		h.Must(err)
		if out.Placed != c.placed {
			t.Errorf("%v ahead: placed %v, want %v", c.ahead, out.Placed, c.placed)
		}
		if c.placed && (!hasRemark(out.Inspection.Remarks, "clock_differs") || !out.Inspection.MeasuredAt.Equal(h.Now)) {
			t.Errorf("measured at %s with %v, want %s and a remark", out.Inspection.MeasuredAt, out.Inspection.Remarks, h.Now)
		}
		if !c.placed && out.Unplaced.Cause.Code != "clock_strange" {
			t.Errorf("it waits for %v", out.Unplaced.Cause)
		}
	}
}

// Readings from longer ago than a tablet keeps any are kept whole for a person,
// whatever is measured; placed, they count from when they came in. A correction
// says better what was read, however long ago.
func TestReadingsFromAnotherAgeWaitForAPerson(t *testing.T) {
	day := 24 * time.Hour
	for _, c := range []struct {
		name   string
		ago    time.Duration
		placed bool
	}{{"a tablet that was away for a month", 30 * day, true}, {"ninety days", 90 * day, true}, {"a minute more", 90*day + time.Minute, false}, {"in 1990", 41 * 365 * day, false}} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				for _, sub := range []models.Submission{h.Extremes(), h.Pack()} {
					sub.StartedAt, sub.FinishedAt = h.Now.Add(-c.ago-5*time.Minute), h.Now.Add(-c.ago)
					for _, said := range []time.Time{h.Now, {}} {
						sub.ID = models.NewID()
						out, err := h.Capture.Record(t.Context(), h.Operator, sub, said)
						h.Must(err)
						if out.Placed != c.placed || !c.placed && out.Unplaced.Cause.Code != "clock_strange" {
							t.Fatalf("placed %v, %+v", out.Placed, out.Unplaced)
						}
						if c.placed {
							continue
						}
						settled, err := h.Capture.Place(t.Context(), h.Operator, sub.ID, "", "read today")
						h.Must(err)
						if !settled.Inspection.MeasuredAt.Equal(h.Now) {
							t.Errorf("measured at %s", settled.Inspection.MeasuredAt)
						}
					}
				}
			})
		})
	}
	h := worktest.New(t)
	first := h.Pack()
	h.MustRecord(first)
	better := h.Pack()
	better.Corrects, better.Reason = first.ID, "a typing error"
	h.Now = h.Now.AddDate(1, 0, 0)
	if out := h.MustRecord(better); !out.Placed {
		t.Error("a correction after a year is not placed")
	}
}
