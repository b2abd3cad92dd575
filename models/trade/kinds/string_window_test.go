package kinds

import (
	"testing"

	"tracewright/models"
)

// By hand from the table of common limits: 11.80 V of scrap and 2.18 V a cell for
// each 12 V of lead-acid, 2.00 and 3.65 V a cell of LiFePO4, 2.50 and 4.20 V of
// Li-ion. A table that is full at 13.20 V gives 0.03 V a cell above that.
func TestStringWindow(t *testing.T) {
	full := []models.ChargePoint{{Volts: "11.90", Percent: "0"}, {Volts: "13.20", Percent: "100"}}
	for _, row := range []struct {
		name        string
		form        models.PackForm
		least, most string
	}{
		{"24 V of lead", models.PackForm{Chemistry: "agm", Cells: 6, CapacityAh: "22", Blocks: 2}, "23.6", "26.16"},
		{"four blocks of 6 V", models.PackForm{Chemistry: "gel", Cells: 3, CapacityAh: "4", Blocks: 4}, "23.6", "26.16"},
		{"a model's own table and scrap", models.PackForm{Chemistry: "agm", Cells: 6, CapacityAh: "22", Blocks: 2, VoltageTable: full, Limits: map[string]string{"scrap_below_v": "11.50"}}, "23", "26.76"},
		{"eight cells of LiFePO4", models.PackForm{Chemistry: "lifepo4", Cells: 1, CapacityAh: "20", Blocks: 8}, "16", "29.2"},
		{"ten cells of Li-ion", models.PackForm{Chemistry: "li_ion", Cells: 1, CapacityAh: "3", Blocks: 10}, "25", "42"},
	} {
		least, most, err := StringWindow(row.form)
		if err != nil || least.String() != row.least || most.String() != row.most {
			t.Errorf("%s: %s to %s, %v; want %s to %s", row.name, least, most, err, row.least, row.most)
		}
	}
	if _, _, err := StringWindow(models.PackForm{Chemistry: "potato", Cells: 6, Blocks: 2}); err == nil {
		t.Error("an unknown chemistry has a window")
	}
}
