package web

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/shelf"
)

// At most 30 % of charge by air, and a test summary of the pack's own design: a
// lithium row says which of them it lacks. A loose cell has no summary of a pack.
func TestWhatALithiumRowSaysOfItsCarriage(t *testing.T) {
	pack := func(summary string) *models.PackForm {
		return &models.PackForm{Chemistry: "lifepo4", TestSummary: summary}
	}
	for _, row := range []struct {
		name   string
		form   *models.PackForm
		charge *float64
		most   float64
		want   string
	}{
		{"lead-acid", &models.PackForm{Chemistry: "agm"}, number(98), 0, ""},
		{"lithium nobody tested", pack(""), number(25), 30, "no test summary: ask the carrier"},
		{"as charged", pack("TS-41"), number(30.1), 30, "not by air as charged, over 30\u00a0%"},
		{"at the limit", pack("TS-41"), number(30), 30, "by air up to 30\u00a0%"},
		{"its charge is not known", pack("TS-41"), nil, 30, "by air up to 30\u00a0%"},
		{"a loose cell", nil, number(60), 30, "not by air as charged, over 30\u00a0%"},
	} {
		if got := carriage(&shelf.Row{Form: row.form, SoCPct: row.charge, AirMaxPct: row.most}); got != row.want {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}
