package store_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// A gauge is found however its code is typed, as long as one alone can be meant.
func TestAGaugeIsFoundHoweverItsCodeIsTyped(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		gauge := func(code string) models.Instrument {
			return models.Instrument{ID: models.NewID(), Code: code, Kind: "dial", Name: code, Unit: "mm", State: models.InstrumentInUse}
		}
		for _, code := range []string{"L-1", "L-21", "l-21", "AB-1", "ab-1"} { // Two of them are older than the rule that codes differ by more.
			if err := s.AddInstrument(t.Context(), models.Stamp{At: moment}, gauge(code)); err != nil {
				t.Fatal(err)
			}
		}
		for typed, want := range map[string]string{"l-1": "L-1", "L-1": "L-1", "L-21": "L-21", "l-21": "l-21", "L-2": "", "Ab-1": "", "": ""} {
			got := must(s.InstrumentsByCode(t.Context(), []string{typed}))
			if len(got) > 1 || len(got) == 1 != (want != "") || len(got) == 1 && got[0].Code != want {
				t.Errorf("%q is the gauges %+v, want %q", typed, got, want)
			}
		}
	})
}
