package stock_test

import (
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// bench is a small workshop with one block model, a lot of it, and a pack of
// four of its blocks.
type bench struct {
	*worktest.Shop
	*stock.Service
	model, packs models.Product
	lot          models.Lot
}

// blockModel is a 12 V block of 12 Ah: window 6 to 30 milliohm.
func blockModel() models.BlockForm {
	b, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: "Halden", Model: "12-12", Chemistry: "agm", Cells: 6, Capacity: "12", Rate: "C20", ResistanceMethod: models.ResistanceAC, DateCode: models.DateYearWeek})
	if err != nil {
		panic(err)
	}
	return b
}

func setUp(h *worktest.Shop, form models.BlockForm) *bench {
	b := &bench{Shop: h, Service: stock.New(h.Store, h.Capture, h.Clock, worktest.Zone)}
	h.Capture.Heed(b.Against)
	b.model = b.product(models.KindBlock, "Halden 12-12", models.ProductForm{Block: &form})
	b.packs = b.product(models.KindPack, "48 V of four", models.ProductForm{Pack: &models.PackForm{BlockModel: "Halden 12-12", Chemistry: form.Chemistry, Cells: form.Cells, CapacityAh: form.Capacity, Strings: 1, Blocks: 4,
		ResistanceMethod: form.ResistanceMethod, MinRestHours: "24", BlockProduct: b.model.ID, BlockRevision: 1}})
	b.lot = models.Lot{ID: models.NewID(), Code: "BL-1", Material: "blocks", Supplier: "Halden", DateCode: "3112", ReceivedAt: h.Now, ReceivedBy: h.Owner.PersonID}
	h.Must(h.Store.AddLot(h.Context(), models.NewStamp(h.Owner, h.Now), b.lot))
	return b
}

func (b *bench) product(kindName, name string, form models.ProductForm) models.Product {
	b.Helper()
	kind, _ := kinds.Named(kindName)
	list, err := kind.DefaultSpecification(kind.Grades[0], form)
	b.Must(err)
	stamp := models.NewStamp(b.Owner, b.Now)
	family := models.Family{ID: models.NewID(), Kind: kindName, Name: name + " family"}
	b.Must(b.Store.AddFamily(b.Context(), stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: list}))
	p := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: name, Revision: 1}
	b.Must(b.Store.AddProduct(b.Context(), stamp, p, models.ProductRevision{Form: form}))
	return p
}

// delivery is a list of n good blocks of the lot, rested, each a little other.
func (b *bench) delivery(n int) stock.Delivery {
	d := stock.Delivery{Model: b.model.ID, Lot: "BL-1", Stage: models.Incoming, MeasuredAt: b.Now.Add(-time.Minute), Conditions: models.Conditions{RestHours: "72"}, Temperature: "23",
		Gauges: stock.Gauges{Voltage: "V-1", Resistance: "R-1", Temperature: "H-1"}, Method: models.ResistanceAC, CaseSound: "yes"}
	for i := range n {
		d.Rows = append(d.Rows, stock.Row{ID: models.NewID(), Number: fmt.Sprintf("H%05d", i+1), Voltage: fmt.Sprintf("12.%03d", 880+i%17), Resistance: fmt.Sprintf("14.%02d", 10+i%23)})
	}
	return d
}

func (b *bench) mustTakeIn(d stock.Delivery) []stock.Taken {
	b.Helper()
	taken, err := b.TakeIn(b.Context(), b.Operator, d)
	b.Must(err)
	return taken
}
