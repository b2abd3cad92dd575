package web

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/stock"
)

// Blocks that are left are told with their reason, and those that are older than
// some that were taken with that too.
func TestWhatIsLeftIsToldWithItsTurn(t *testing.T) {
	dear, turn := models.NewRemark("left_resistance_above"), models.NewRemark("left_out_of_turn", "date", "2027-01-04", "count", "2")
	got := whyNot([]stock.Left{{Name: "H1", Reasons: []models.Remark{dear}}, {Name: "H2", Reasons: []models.Remark{dear, turn}}, {Name: "H3", Reasons: []models.Remark{dear}}})
	want := []WhyNot{{Blocks: "H1, H3", Why: "its resistance is above the rest"}, {Blocks: "H2", Why: "its resistance is above the rest, made on 4 Jan 2027, before 2 that were taken"}}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
