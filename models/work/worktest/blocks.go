package worktest

import (
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/stock"
)

// BlocksRead takes in good blocks that R-1 measures at "goods in", and gives their keys.
func (h *Shop) BlocksRead(n int) []string {
	h.Helper()
	form, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: "Halden", Model: "12-12", Chemistry: "agm", Cells: 6, Capacity: "12", Rate: "C20", ResistanceMethod: models.ResistanceAC, DateCode: models.DateYearWeek})
	h.Must(err)
	kind, _ := kinds.Named(models.KindBlock)
	limits, err := kind.DefaultSpecification(kind.Grades[0], models.ProductForm{Block: &form})
	h.Must(err)
	stamp := models.NewStamp(h.Owner, h.Now)
	family := models.Family{ID: models.NewID(), Kind: models.KindBlock, Name: "blocks"}
	h.Must(h.Store.AddFamily(h.Context(), stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: limits}))
	model := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "Halden 12-12", Revision: 1}
	h.Must(h.Store.AddProduct(h.Context(), stamp, model, models.ProductRevision{Form: models.ProductForm{Block: &form}}))
	h.Must(h.Store.AddLot(h.Context(), stamp, models.Lot{ID: models.NewID(), Code: "BL-1", Material: "blocks", Supplier: "Halden", DateCode: "3112", ReceivedAt: h.Now, ReceivedBy: h.Owner.PersonID}))
	d := stock.Delivery{Model: model.ID, Lot: "BL-1", Stage: models.Incoming, Place: "goods in", MeasuredAt: h.Now.Add(-time.Minute), Conditions: models.Conditions{RestHours: "72"}, Temperature: "23",
		Gauges: stock.Gauges{Voltage: "V-1", Resistance: "R-1", Temperature: "H-1"}, Method: models.ResistanceAC, CaseSound: "yes"}
	for i := range n {
		d.Rows = append(d.Rows, stock.Row{ID: models.NewID(), Number: fmt.Sprintf("H0000%d", i+1), Voltage: fmt.Sprintf("12.88%d", i), Resistance: fmt.Sprintf("14.1%d", i)})
	}
	taken, err := stock.New(h.Store, h.Capture, h.Clock, Zone).TakeIn(h.Context(), h.Operator, d)
	h.Must(err)
	ids := make([]string, len(taken))
	for i, x := range taken {
		ids[i] = x.Blocks[0].ID
	}
	return ids
}
