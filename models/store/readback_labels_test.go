package store_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackLabels is the part of TestEveryRecordReadsBack that printing leaves
// behind.
func readBackLabels(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx := h.Store, t.Context()
	by, wheel, pack := h.Owner.PersonID, h.Item[models.KindWheel], h.Item[models.KindPack]
	_, err := s.LastOnSheet(ctx, "sheet_5x13")
	notFound(t, "a sheet that nobody printed on", err)
	one := models.LabelPrint{ID: models.NewID(), What: models.LabelItem, SubjectID: wheel.ID, Size: "sheet_5x13", Place: 64, N: 2, PrintedBy: by, PrintedAt: moment}
	two := models.LabelPrint{ID: models.NewID(), What: models.LabelHub, SubjectID: pack.ID, Size: "sheet_5x13", Place: 1, N: 1, PrintedBy: by, PrintedAt: moment}
	h.Must(s.AddLabelPrints(ctx, stamp, []models.LabelPrint{one, two}))
	roll := models.LabelPrint{ID: models.NewID(), What: models.PrintRoll, SubjectID: models.NewID(), Size: "25x15", N: 40, First: "W31000012", Last: "W3100001G", PrintedBy: by, PrintedAt: moment.Add(time.Second)}
	paper := models.LabelPrint{ID: models.NewID(), What: models.PrintCertificate, SubjectID: wheel.ID, N: 1, PrintedBy: by, PrintedAt: moment.Add(time.Minute)}
	h.Must(s.AddLabelPrints(ctx, stamp, []models.LabelPrint{paper}))
	h.Must(s.AddLabelPrints(ctx, stamp, []models.LabelPrint{roll}))
	same(t, "prints", must(s.LabelPrintsOf(ctx, []string{wheel.ID, roll.SubjectID})), []models.LabelPrint{one, roll, paper})
	same(t, "prints of nothing", len(must(s.LabelPrintsOf(ctx, nil))), 0)
	same(t, "the last on a sheet", must(s.LastOnSheet(ctx, "sheet_5x13")), two)
	for _, p := range []models.LabelPrint{one, two, roll, paper} {
		entries := must(s.TrailOf(ctx, []string{p.ID}, 9))
		if digest := must(models.Digest(p)); len(entries) != 1 || entries[0].Digest != digest || entries[0].Kind != "label_print" {
			t.Errorf("trail of a print of %s: %+v, want one entry of %s", p.What, entries, digest)
		}
	}
	if err := s.AddLabelPrints(ctx, stamp, []models.LabelPrint{{What: "poster", SubjectID: wheel.ID, N: 1}}); err == nil {
		t.Error("a print of a poster was kept")
	}

	same(t, "items by serial", must(s.ItemsBySerial(ctx, []string{*wheel.Serial, "W31000000"})), []models.Item{must(s.Item(ctx, wheel.ID))})
	day := wheel.CreatedAt
	made := must(s.ItemsMade(ctx, day, day.Add(time.Millisecond), 1))
	same(t, "items made that moment, one at most", len(made), 1)
	same(t, "items made in the second before", len(must(s.ItemsMade(ctx, day.Add(-time.Second), day, 9))), 0)
}
