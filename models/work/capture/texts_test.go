package capture_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// What comes along with a text that is pasted is not kept, and what is no text is
// refused in names too.
func TestTextsOfASubmission(t *testing.T) {
	h := worktest.New(t)
	sub := masked(h, 18)
	sub.Place, sub.Conditions.Note = "stand\u00ading room\u200e", "\ufeffwarm"
	sub.Sets[0].Masks[0].Reason, sub.Sets[0].Masks[0].Note = models.MaskOther, "\u200bsticker"
	made := h.MustRecord(sub)
	view, err := h.Store.InspectionView(t.Context(), made.Inspection.ID)
	h.Must(err)
	got := view.Inspection.Place + ", " + view.Inspection.Conditions.Note
	for _, set := range view.Sets {
		for _, m := range set.Masks {
			got += ", " + m.Note
		}
	}
	if got != "standing room, warm, sticker" {
		t.Errorf("kept: %q", got)
	}
	if again := h.MustRecord(sub); again.Created {
		t.Error("sent again it was recorded again")
	}
	sub = h.Extremes()
	sub.Sets[0].Manner = "a\u0007"
	sub.Parts = []models.SentPart{{Role: "motor", Number: "N\n1", Supplier: "a\u0007", Model: "b\u0007"}}
	_, err = h.Record(sub)
	worktest.WantProblems(t, err, "parts[0].model: not_printed", "parts[0].number: not_printed", "parts[0].supplier: not_printed", "sets[0].manner: not_printed")
}
