package release_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A specification that applies to stock does so until an item was read under it or a
// later one, whatever came after.
func TestASpecificationForStockIsNotForgotten(t *testing.T) {
	for _, c := range []struct {
		name      string
		revisions []revision
		want      string
	}{
		{"none newer", nil, ""},
		{"one for what comes", []revision{{}}, ""},
		{"one for stock", []revision{{stock: true}}, "2"},
		{"one for stock, then one for what comes", []revision{{stock: true}, {}}, "2"},
		{"two for stock", []revision{{stock: true}, {}, {stock: true}}, "4"},
		{"one of its product for what comes", []revision{{own: true}}, ""},
		{"one of its product for stock, then one for what comes", []revision{{own: true, stock: true}, {own: true}}, "1"},
		{"one of its family for stock, then one of its product", []revision{{stock: true}, {own: true}}, "2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				ctx, s := t.Context(), service(h, new(int))
				item := h.MustRecord(h.Extremes()).Item
				first, err := h.Store.SpecificationInForce(ctx, *item.FamilyID, item.ProductID)
				h.Must(err)
				next := map[bool]int{false: first.Revision, true: 0}
				for _, r := range c.revisions {
					next[r.own]++
					spec := first
					spec.ID, spec.Revision, spec.AppliesToStock, spec.Reason = models.NewID(), next[r.own], r.stock, "r"
					if r.own {
						spec.ProductID = item.ProductID
					}
					h.Must(h.Store.AddSpecification(ctx, models.NewStamp(h.Owner, h.Now), spec))
				}
				check := func(step, want string) {
					t.Helper()
					against, err := s.Gate(ctx, item.ID)
					h.Must(err)
					got := ""
					for _, r := range against {
						got += r.Code + " " + r.Values["revision"]
					}
					if want != "" {
						want = "specification_newer " + want
					}
					if got != want {
						t.Errorf("%s: held back by %q, want %q", step, got, want)
					}
				}
				check("read before", c.want)
				h.MustRecord(h.Extremes())
				check("read again", "")
			})
		})
	}
}

// revision is the next one of the family, or of the product itself.
type revision struct{ own, stock bool }
