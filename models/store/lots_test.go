package store_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// A lot is found however its code is typed, as long as one alone can be meant.
func TestALotIsFoundHoweverItsCodeIsTyped(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		for _, code := range []string{"SP-1", "BIN-7", "Bin-7"} { // Two of them are older than the rule that codes differ by more.
			if err := s.AddLot(t.Context(), models.Stamp{At: moment}, models.Lot{ID: models.NewID(), Code: code, Material: "spokes", SupplierCode: "A-" + code}); err != nil {
				t.Fatal(err)
			}
		}
		for typed, want := range map[string]string{"SP-1": "SP-1", "sp-1": "SP-1", "BIN-7": "BIN-7", "Bin-7": "Bin-7", "bin-7": "", "SP-2": "", "": ""} {
			lot, err := s.LotByCode(t.Context(), typed)
			if lot.Code != want || errors.Is(err, models.ErrNotFound) != (want == "") {
				t.Errorf("%q is lot %q, %v; want %q", typed, lot.Code, err, want)
			}
		}
		for want, typed := range map[string][]string{"SP-1": {"sp-1"}, "BIN-7 SP-1": {"sP-1", "BIN-7", "SP-1", "none"}, "BIN-7 Bin-7": {"Bin-7", "bin-7"}, "": {"bin-7", "BIN-8", ""}} {
			var got []string
			for _, lot := range must(s.LotsByCode(t.Context(), typed)) {
				got = append(got, lot.Code)
			}
			if slices.Sort(got); strings.Join(got, " ") != want {
				t.Errorf("%q are the lots %q, want %q", typed, got, want)
			}
		}
		for code, want := range map[string]int{"A-SP-1": 1, "a-sp-1": 0, "": 0} {
			if lots := must(s.LotsOfSupplierCode(t.Context(), code)); len(lots) != want {
				t.Errorf("the supplier's %q is %d lots, want %d", code, len(lots), want)
			}
		}
	})
}
