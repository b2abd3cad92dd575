package stock_test

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

// A label printed ahead is the serial of the block that it is put on, as soon as
// the block comes in; one from no roll, of another model's roll, or scanned twice
// is refused.
func TestABlockComesInUnderALabelPrintedAhead(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		other := b.product(models.KindBlock, "another model", models.ProductForm{Block: new(blockModel())})
		roll := func(productID *string) []string {
			r, err := h.Store.AddRoll(t.Context(), models.NewStamp(h.Owner, h.Now), models.SerialRoll{ID: models.NewID(), ProductID: productID, Letter: "B", Year: 31, First: 1, Last: 9})
			h.Must(err)
			return ident.Range(ident.Block, 31, r.First, r.Last)
		}
		free, own, strange := roll(nil), roll(&b.model.ID), roll(&other.ID)
		beyond := ident.Range(ident.Block, 31, 4000, 4020)[0]

		d := b.delivery(3)
		d.Rows[0].Number, d.Rows[1].Number = "]d1"+ident.Print(free[0]), own[0]
		taken := b.mustTakeIn(d)
		for i, serial := range []string{free[0], own[0]} {
			block := taken[i].Blocks[0]
			if !taken[i].New || block.Serial == nil || *block.Serial != serial || block.MakerNumber != nil || taken[i].Inspection == nil {
				t.Errorf("label %s: %+v", serial, taken[i])
			}
		}
		v, err := b.Stock(t.Context(), b.model.ID, "BL-1")
		h.Must(err)
		if n := slices.IndexFunc(v.Blocks, func(x stock.Block) bool { return x.Item.Serial != nil && *x.Item.Serial == free[0] && x.Offered() }); n < 0 {
			t.Errorf("%s is not offered from its lot", free[0])
		}
		small, err := b.Stock(t.Context(), b.model.ID, "bl-1")
		if h.Must(err); len(small.Blocks) != len(v.Blocks) || len(v.Blocks) == 0 {
			t.Errorf("of bl-1 there are %d blocks, of BL-1 %d", len(small.Blocks), len(v.Blocks))
		}
		_, err = b.Stock(t.Context(), b.model.ID, "bl-9")
		worktest.WantProblems(t, err, "lot: unknown_lot")
		if again := b.mustTakeIn(d); *again[0].Blocks[0].Serial != free[0] {
			t.Errorf("sent again: %+v", again[0])
		}

		for _, c := range []struct {
			name     string
			numbers  []string
			stage    string
			problems []string
		}{
			{"of no roll", []string{beyond}, models.Incoming, []string{"rows[0].number: unknown_number"}},
			{"of another model's roll", []string{strange[0]}, models.Incoming, []string{"rows[0].number: block_of_other_model"}},
			{"scanned and typed", []string{free[1], ident.Print(free[1])}, models.Incoming, []string{"rows[1].number: number_twice"}},
			{"a second reading of none", []string{free[2]}, models.SecondReading, []string{"rows[0].number: unknown_number"}},
			{"in use", []string{free[0]}, models.Incoming, []string{"rows[0].number: block_here_already"}},
		} {
			d := b.delivery(len(c.numbers))
			d.Stage = c.stage
			for i, n := range c.numbers {
				d.Rows[i].Number = n
			}
			t.Log(c.name)
			_, err := b.TakeIn(t.Context(), b.Operator, d)
			worktest.WantProblems(t, err, c.problems...)
		}
	})
}
