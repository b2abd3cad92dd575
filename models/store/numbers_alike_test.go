package store_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A number is found in whichever capitals it is typed; those on which it is written just
// so come first, the others by their suppliers.
func TestAMakersNumberIsFoundInOtherCapitals(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp := models.NewStamp(h.Owner, h.Now)
		for _, x := range []struct{ supplier, number string }{{"Brook", "ab-12"}, {"Aare", "AB-12"}, {"Clyde", "Ab-13"}, {"Derwent", "aB-13"}} {
			must(h.Store.AddItem(t.Context(), stamp, models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: x.supplier, Model: "H1", MakerNumber: &x.number, Origin: "received"}, nil))
		}
		for typed, want := range map[string][]string{
			"ab-12": {"ab-12", "AB-12"}, "AB-12": {"AB-12", "ab-12"}, "Ab-12": {"AB-12", "ab-12"},
			"ab-13": {"Ab-13", "aB-13"}, "aB-13": {"aB-13", "Ab-13"}, "ab-1": nil,
		} {
			var got []string
			for _, i := range must(h.Store.ItemsByMakerNumber(t.Context(), typed, 5)) {
				got = append(got, *i.MakerNumber)
			}
			same(t, typed, got, want)
		}
		if got := must(h.Store.ItemsByMakerNumber(t.Context(), "aB-13", 1)); len(got) != 1 || *got[0].MakerNumber != "aB-13" {
			t.Errorf("of one that is asked for: %v", got)
		}
	})
}
