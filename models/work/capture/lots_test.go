package capture_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// A lot in quarantine, or one that went back, is fitted nowhere, nor is a bin that
// holds pieces of it; and one is fitted where its material belongs.
func TestALotThatMayNotBeFitted(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, goods := t.Context(), receive.New(h.Store, h.Clock, worktest.Zone)
		for _, l := range []models.Lot{{Code: "SP-1", Material: "spokes", Quantity: 500}, {Code: "SP-2", Material: "spokes", Quantity: 500}, {Code: "NP-1", Material: "nipples"}} {
			_, err := goods.AddLot(ctx, h.Owner, l)
			h.Must(err)
		}
		h.Must(goods.Mix(ctx, h.Owner, receive.Mixed{Bin: "BIN-1", Lots: []receive.Poured{{Lot: "SP-1", Quantity: 9}, {Lot: "SP-2", Quantity: 9}}}))
		fit := func(name, role, lot string, want ...string) {
			t.Helper()
			sub := h.Extremes()
			sub.Serial, sub.Parts = *h.AnotherWheel().Serial, []models.SentPart{{Role: role, Lot: lot, Quantity: 18}}
			_, err := h.Record(sub)
			t.Run(name, func(t *testing.T) { worktest.WantProblems(t, err, want...) })
		}
		decide := func(decision string) {
			t.Helper()
			h.Now = h.Now.Add(time.Minute)
			_, err := goods.Decide(ctx, h.Owner, receive.Decided{Lot: "SP-1", Decision: decision, Quantity: 100, Reason: "a trial"})
			h.Must(err)
		}
		fit("a lot nobody decided about", "spokes_a", "SP-1")
		fit("a bin", "spokes_b", "BIN-1")
		fit("a code typed in small letters", "spokes_b", "bin-1")
		fit("the label of another bin", "spokes_a", "NP-1", "parts[0].lot: lot_of_other_use")
		decide(models.LotQuarantine)
		fit("in quarantine", "spokes_a", "SP-1", "parts[0].lot: lot_set_aside")
		fit("its bin", "spokes_a", "BIN-1", "parts[0].lot: lot_set_aside")
		fit("what was mixed with it", "spokes_a", "SP-2")
		decide(models.LotReturn)
		fit("sent back in part", "spokes_a", "SP-1", "parts[0].lot: lot_set_aside")
		decide(models.LotConcession)
		fit("the rest under a concession", "spokes_a", "SP-1")
		fit("its bin again", "spokes_a", "BIN-1")
	})
}

// Of two lots that differ by capitals alone none is meant by a third way to write them,
// also beside one that is written as it is.
func TestLotsThatDifferByCapitalsAlone(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		for _, code := range []string{"BIN-7", "Bin-7"} {
			h.Must(h.Store.AddLot(t.Context(), models.NewStamp(h.Owner, h.Now), models.Lot{ID: models.NewID(), Code: code, Material: "spokes"}))
		}
		for typed, want := range map[string][]string{"bin-7": {"parts[1].lot: unknown_lot"}, "Bin-7": nil} {
			sub := h.Extremes()
			sub.Serial = *h.AnotherWheel().Serial
			sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "BIN-7", Quantity: 18}, {Role: "spokes_b", Lot: typed, Quantity: 18}}
			_, err := h.Record(sub)
			worktest.WantProblems(t, err, want...)
		}
	})
}

// More than a lot has is kept with its readings, and said: of 40 spokes two wheels
// take 36, the third is 14 beyond. A lot that nobody counted has no end.
func TestMoreThanALotHasIsSaid(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, goods := t.Context(), receive.New(h.Store, h.Clock, worktest.Zone)
		for _, l := range []models.Lot{{Code: "SP-1", Material: "spokes", Quantity: 40}, {Code: "NP-1", Material: "nipples"}} {
			_, err := goods.AddLot(ctx, h.Owner, l)
			h.Must(err)
		}
		for i, over := range []string{"", "", "14"} {
			sub := h.Extremes()
			sub.Serial = *h.AnotherWheel().Serial
			sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-1", Quantity: 9, Reason: " a second bag "}, {Role: "spokes_b", Lot: "SP-1", Quantity: 9}, {Role: "nipples", Lot: "NP-1", Quantity: 18}}
			said := ""
			made := h.MustRecord(sub).Inspection
			for _, r := range made.Remarks {
				if r.Code == "lot_beyond" {
					said += r.Values["over"]
					if r.Values["lot"] != "SP-1" || r.Values["quantity"] != "40" {
						t.Errorf("it is said of %+v", r.Values)
					}
				}
			}
			if said != over {
				t.Errorf("wheel %d: %q beyond, want %q", i+1, said, over)
			}
			parts, err := h.Store.Parts(ctx, made.ItemID)
			h.Must(err)
			if len(parts) != 3 || parts[1].Reason != "a second bag" || parts[2].Reason != "" {
				t.Errorf("fitted are %+v, want the reason with the spokes of side A alone", parts)
			}
		}
	})
}
