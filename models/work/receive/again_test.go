package receive_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// What a program sends again after a lost answer counts once: pieces thrown away, and
// pieces put into a bin, also the last ones of a lot. Something else under the same key
// is a conflict.
func TestPiecesSentAgainCountOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), receive.New(h.Store, h.Clock, worktest.Zone)
		for _, code := range []string{"SP-1", "SP-2", "SP-3"} {
			_, err := s.AddLot(ctx, h.Owner, models.Lot{Code: code, Material: "spokes", Quantity: 10})
			h.Must(err)
		}
		scrap := receive.Scrapped{ID: models.NewID(), Lot: "SP-1", Quantity: 4, Code: "W09"}
		pour := receive.Mixed{ID: models.NewID(), Bin: "BIN-1", Lots: []receive.Poured{{Lot: "SP-1", Quantity: 6}, {Lot: "SP-2", Quantity: 10}}}
		for range 3 {
			h.Now = h.Now.Add(time.Minute)
			h.Must(s.Scrap(ctx, h.Operator, scrap))
			h.Must(s.Mix(ctx, h.Operator, pour))
		}
		for lot, want := range map[string]models.LotTotals{"SP-1": {Scrapped: 4, Mixed: 6}, "SP-2": {Mixed: 10}, "BIN-1": {PutIn: 16}} {
			story, err := s.Story(ctx, lot)
			h.Must(err)
			if got := story.Totals; got.Scrapped != want.Scrapped || got.Mixed != want.Mixed || got.PutIn != want.PutIn {
				t.Errorf("%s: %+v, want %+v", lot, got, want)
			}
		}
		for name, again := range map[string]func() error{
			"more pieces": func() error { x := scrap; x.Quantity = 5; return s.Scrap(ctx, h.Operator, x) },
			"another lot": func() error { x := scrap; x.Lot = "SP-2"; return s.Scrap(ctx, h.Operator, x) },
			"more poured": func() error {
				x := pour
				x.Lots = []receive.Poured{{Lot: "SP-1", Quantity: 6}, {Lot: "SP-2", Quantity: 9}}
				return s.Mix(ctx, h.Operator, x)
			},
			"a new bin": func() error {
				x := pour
				x.Bin, x.Lots, x.Reason = "BIN-2", []receive.Poured{{Lot: "SP-3", Quantity: 1}}, ""
				return s.Mix(ctx, h.Operator, x)
			},
			"fewer lots": func() error { x := pour; x.Lots = x.Lots[:1]; return s.Mix(ctx, h.Operator, x) },
		} {
			if err := again(); !errors.Is(err, models.ErrConflict) {
				t.Errorf("%s under the same key: %v, want a conflict", name, err)
			}
		}
		scrap.ID, pour.ID = "7", "7"
		worktest.WantProblems(t, s.Scrap(ctx, h.Operator, scrap), "id: bad_id")
		pour.Reason = "a bag more"
		worktest.WantProblems(t, s.Mix(ctx, h.Operator, pour), "id: bad_id")
	})
}
