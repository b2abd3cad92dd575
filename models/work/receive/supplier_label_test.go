package receive_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// The labels are written by hand from the identifiers of GS1; 952 is its prefix
// for examples, and 8 the check digit of 952123450001.
func TestASupplierLabelFillsInALot(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := receive.New(h.Store, h.Clock, worktest.Zone)
		for _, c := range []struct {
			name     string
			in, want models.Lot
			wrong    string
		}{
			{name: "all of it", in: models.Lot{SupplierCode: "]d201095212345000181131040210A-17\x1d30500"}, want: models.Lot{SupplierCode: "A-17", DateCode: "2031-04-02", Quantity: 500, Description: "article 09521234500018"}},
			{name: "in brackets, the month alone, contents", in: models.Lot{SupplierCode: "(02)09521234500018(37)48(11)310400"}, want: models.Lot{DateCode: "2031-04", Quantity: 48, Description: "article 09521234500018"}},
			{name: "what was typed stays", in: models.Lot{SupplierCode: "(01)09521234500018(10)A-17(11)310402(30)500", DateCode: "wk 14", Quantity: 480, Description: "2.34 mm"}, want: models.Lot{SupplierCode: "A-17", DateCode: "wk 14", Quantity: 480, Description: "2.34 mm, article 09521234500018"}},
			{name: "two symbols, one in each field", in: models.Lot{SupplierCode: "A-17", DateCode: "(01)09521234500018(11)310402"}, want: models.Lot{SupplierCode: "A-17", DateCode: "2031-04-02", Description: "article 09521234500018"}},
			{name: "an article number alone, as typed", in: models.Lot{SupplierCode: "09521234500018"}, want: models.Lot{SupplierCode: "09521234500018"}},
			{name: "a plain code", in: models.Lot{SupplierCode: "]C0A77", DateCode: "10/31"}, want: models.Lot{SupplierCode: "A77", DateCode: "10/31"}},
			{name: "a plain code that says it is GS1", in: models.Lot{SupplierCode: "]C1A77"}, want: models.Lot{SupplierCode: "A77"}},
			{name: "digits without a sign of GS1", in: models.Lot{SupplierCode: "010952123450001810A17"}, want: models.Lot{SupplierCode: "010952123450001810A17"}},
			{name: "a slip in the article", in: models.Lot{SupplierCode: "(01)09521234500019(10)A-17"}, wrong: "supplier_code: gs1_check"},
			{name: "a thirteenth month", in: models.Lot{DateCode: "(01)09521234500018(11)311302"}, wrong: "date_code: gs1_date"},
			{name: "a leap day of a year that has none", in: models.Lot{DateCode: "(01)09521234500018(11)310229"}, wrong: "date_code: gs1_date"},
			{name: "a lot without its article", in: models.Lot{SupplierCode: "]C110A-17"}, wrong: "supplier_code: gs1_alone"},
			{name: "pieces that are no number", in: models.Lot{SupplierCode: "(01)09521234500018(30)9 pcs"}, wrong: "supplier_code: gs1_form"},
			{name: "an identifier nobody here knows", in: models.Lot{SupplierCode: "(01)09521234500018(99)A"}, wrong: "supplier_code: gs1_unknown"},
			{name: "into the field of the shop's own code", in: models.Lot{Code: "(01)09521234500018(10)A-17"}, wrong: "code: gs1_for_code"},
		} {
			t.Run(c.name, func(t *testing.T) {
				if c.in.Code == "" {
					c.in.Code = "L " + c.name
				}
				c.in.Material = "spokes"
				got, err := s.AddLot(t.Context(), h.Owner, c.in)
				if c.wrong != "" {
					worktest.WantProblems(t, err, c.wrong)
					return
				}
				h.Must(err)
				if g := (models.Lot{SupplierCode: got.SupplierCode, DateCode: got.DateCode, Quantity: got.Quantity, Description: got.Description}); g != c.want {
					t.Errorf("%+v, want %+v", g, c.want)
				}
			})
		}
	})
}
