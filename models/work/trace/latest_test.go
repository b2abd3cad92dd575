package trace_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/trace"
	"tracewright/models/work/worktest"
)

// A wheel failed first and passed later: the oldest comes first, and the
// latest is the one that passed, whole; the earlier one is whole only where it
// is asked for.
func TestTheLatestInspectionIsTheNewest(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		failed := h.Extremes()
		failed.StartedAt, failed.FinishedAt = h.Now.Add(-time.Hour), h.Now.Add(-50*time.Minute)
		failed.Sets[0].Values = []string{"0.9", "-0.9"}
		h.MustRecord(failed)
		passed := h.MustRecord(h.Extremes())
		service := trace.New(h.Store)
		serial := h.Serial[models.KindWheel]

		whole, err := service.Item(t.Context(), serial)
		h.Must(err)
		if got := whole.Latest().Inspection.ID; got != passed.Inspection.ID || whole.Inspections[0].Inspection.ID != failed.ID {
			t.Errorf("the latest is %s, want %s; the first is %s, want %s", got, passed.Inspection.ID, whole.Inspections[0].Inspection.ID, failed.ID)
		}
		glance, err := service.Glance(t.Context(), serial, "")
		h.Must(err)
		if len(glance.Inspections) != 2 || len(glance.Latest().Results) == 0 || len(glance.Inspections[0].Results) != 0 || glance.Inspections[0].Person == "" {
			t.Errorf("a glance holds %d inspections, %d results of the latest, %d of the earlier", len(glance.Inspections), len(glance.Latest().Results), len(glance.Inspections[0].Results))
		}
		opened, err := service.Glance(t.Context(), serial, failed.ID)
		h.Must(err)
		if len(opened.Inspections[0].Results) == 0 || len(opened.Inspections[0].Sets) == 0 {
			t.Error("the earlier one is not whole where it was asked for")
		}
	})
}
