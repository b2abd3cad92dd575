package recall_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/recall"
	"tracewright/models/work/worktest"
)

// Blocks that a gauge measured as they came in are called back in the packs that they
// went into: surely where the pack was not read since, possibly where it was, and not
// where they were taken out again; and by the trace of that gauge where the pack went
// out.
func TestMeasuredBlocksAreCalledBackInTheirPacks(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, at := t.Context(), h.Now
		stamp := func() models.Stamp { return models.NewStamp(h.Owner, h.Now) }
		s := recall.New(h.Store, h.Clock, worktest.Zone)
		blocks := h.BlocksRead(4)
		pack := func(block string) models.Item {
			t.Helper()
			of := h.Item[models.KindPack]
			item, err := h.Store.AddItemWithSerial(ctx, stamp(), models.Item{Kind: models.KindPack, FamilyID: of.FamilyID, ProductID: of.ProductID, Origin: "made"}, "P", 31, []models.FittedPart{{Role: "block", Place: "1.1", PartID: &block, Quantity: 1, FittedAt: h.Now}})
			h.Must(err)
			return item
		}
		h.Now = h.Now.Add(time.Hour)
		bare, read, emptied, gone := pack(blocks[0]), pack(blocks[1]), pack(blocks[2]), pack(blocks[3])
		h.Now = h.Now.Add(48 * time.Hour)
		again := h.Pack()
		again.Serial = *read.Serial
		h.MustRecord(again)
		parts, err := h.Store.Parts(ctx, emptied.ID)
		h.Must(err)
		h.Must(h.Store.ChangeParts(ctx, stamp(), emptied.ID, []models.PartRemoval{{FittedID: parts[0].ID, Quantity: 1, Code: "other", Fate: models.FateStock}}, nil))
		_, err = h.Store.AddShipment(ctx, stamp(), 31, models.Shipment{Items: []string{gone.ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		h.Must(err)
		day := at.Add(time.Hour)
		for name, ask := range map[string]recall.Ask{
			"the gauge":  {Instrument: "R-1", From: at.Add(-time.Hour), To: day},
			"the place":  {Place: "goods in", From: at.Add(-time.Hour), To: day},
			"the person": {Person: h.Operator.PersonID, From: at.Add(-time.Hour), To: day},
		} {
			found, err := s.Preview(ctx, ask)
			h.Must(err)
			got := map[string]models.RecallItem{}
			for _, x := range found.Items {
				got[x.Item] = x
			}
			for _, want := range []models.RecallItem{{Item: bare.ID, Where: models.RecallHere}, {Item: read.ID, Where: models.RecallHere, Possibly: true}, {Item: gone.ID, Where: models.RecallShipped}} {
				if got[want.Item] != want {
					t.Errorf("%s: %+v, want %+v", name, got[want.Item], want)
				}
			}
			if len(got) != 3 {
				t.Errorf("%s reaches %d, want 3", name, len(got))
			}
		}
		gauges, err := h.Store.InstrumentsByCode(ctx, []string{"R-1"})
		h.Must(err)
		traced := func(where string) []string {
			t.Helper()
			var content models.TraceContent
			for _, block := range blocks {
				content.Sets = append(content.Sets, models.TraceSet{Item: block, Code: "block_resistance", Effect: models.SetNoLonger, Where: where})
			}
			raw, err := json.Marshal(content)
			h.Must(err)
			trace, err := h.Store.AddGaugeTrace(ctx, stamp(), models.GaugeTrace{InstrumentID: gauges[0].ID, Cause: models.CauseCalibration, CauseID: models.NewID(), Content: string(raw), ContentHash: "h"})
			h.Must(err)
			found, err := s.Preview(ctx, recall.Ask{Trace: trace.ID})
			h.Must(err)
			var ids []string
			for _, x := range found.Items {
				ids = append(ids, x.Item)
			}
			return ids
		}
		if got := traced(models.RecallHere); !slices.Equal(got, []string{gone.ID}) {
			t.Errorf("the trace reaches %v, want the pack that went out since: %s", got, gone.ID)
		}
		out := []string{bare.ID, read.ID, gone.ID} // Each had gone out when it was frozen.
		slices.Sort(out)
		if got := traced(models.RecallShipped); !slices.Equal(got, out) {
			t.Errorf("the trace reaches %v, want %v", got, out)
		}
	})
}
