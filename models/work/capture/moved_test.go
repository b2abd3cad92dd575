package capture_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Readings of the wrong wheel go to the right one as a correction: the wrong one
// is what it was before, the right one is judged, and both keep the trace.
func TestACorrectionMovesToAnotherWheel(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		wrong := h.MustRecord(h.Extremes())
		right := h.AnotherWheel()
		again := h.Extremes()
		again.Serial, again.Corrects, again.Reason = *right.Serial, wrong.Inspection.ID, "measured on the other wheel"
		moved := h.MustRecord(again)
		if moved.Item.ID != right.ID || moved.Item.State != models.StateConforming || !moved.Inspection.FirstSet {
			t.Errorf("moved to %s, %s, first set %v; want %s, conforming, the first set", moved.Item.Name(), moved.Item.State, moved.Inspection.FirstSet, *right.Serial)
		}
		old, err := h.Store.Inspection(h.Context(), wrong.Inspection.ID)
		h.Must(err)
		item, err := h.Store.Item(h.Context(), wrong.Item.ID)
		h.Must(err)
		if old.SupersededBy == nil || *old.SupersededBy != moved.Inspection.ID || item.State != models.StateInProcess {
			t.Errorf("the wrong wheel: superseded by %v, %s; want %s, in process", old.SupersededBy, item.State, moved.Inspection.ID)
		}
	})
}

// Moved from the office, the readings stay those of who took them when they were
// taken, masks included; a wrong or missing serial or reason moves nothing.
func TestMoveKeepsWhoMeasuredAndWhen(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		wrong := h.MustRecord(masked(h, 18))
		right := h.AnotherWheel()
		for name, c := range map[string]struct{ serial, reason, code string }{
			"no serial": {"", "r", "missing"}, "no reason": {*right.Serial, "", "reason_needed"}, "the same wheel": {*wrong.Item.Serial, "r", "recorded_for_it"}, "no such form": {"wheel", "r", "serial_form"},
		} {
			_, err := h.Capture.Move(h.Context(), h.Owner, wrong.Inspection.ID, c.serial, c.reason)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Code != c.code {
				t.Errorf("%s: %v, want %s", name, err, c.code)
			}
		}
		out, err := h.Capture.Move(h.Context(), h.Owner, wrong.Inspection.ID, *right.Serial, "the other wheel lay on the stand")
		h.Must(err)
		is, was := out.Inspection, wrong.Inspection
		if is.ItemID != right.ID || is.PersonID != h.Operator.PersonID || !is.MeasuredAt.Equal(was.MeasuredAt) || is.Supersedes == nil || *is.Supersedes != was.ID || countRemarks(is.Remarks, "masked_weld") != 1 {
			t.Errorf("moved: %+v; want the operator's, measured at %v, in place of %s, with its mask", is, was.MeasuredAt, was.ID)
		}
		if _, err := h.Capture.Move(h.Context(), h.Owner, was.ID, *right.Serial, "again"); err == nil {
			t.Error("the same inspection was moved twice")
		}
	})
}
