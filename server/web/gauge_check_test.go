package web

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
)

// The limits that a check's chart draws are told with value, unit and origin, on
// the page of the instrument and on that of the check. Twenty readings of 0 and 1 in
// turn, by hand: mean 0.5, each moving range 1, so that the limits are
// 0.5 - 2.66 = -2.16 and 0.5 + 2.66 = 3.16 (E2 = 2.66, a table of constants).
func TestLimitsOfACheckAreTold(t *testing.T) {
	gauge := sampleGauge
	gauge.Resolution = "0.01"
	check := func(n int) gauges.CheckView {
		v := sampleCheck(0)
		for i := range n {
			value := []string{"0", "1"}[i%2]
			v.Readings = append(v.Readings, models.GaugeReading{ID: "r", Value: value, ValueF: floatOf(value), Good: true, ReadAt: sampleNow, ReadBy: "p1"})
		}
		return v
	}
	for _, c := range []struct {
		n    int
		want string
	}{
		{0, ""},
		{19, "Limits of its chart: " + words.Number("-2") + " to " + words.Quantity("2", "N") + " about " + words.Quantity("0", "N") + ", those of the check: from 20 readings on they follow from how the readings scatter."},
		{20, "Limits of its chart: " + words.Number("-2.16") + " to " + words.Quantity("3.16", "N") + " about " + words.Quantity("0.5", "N") + ", from how far each of 20 readings lies from the one before (individuals and moving ranges)."},
	} {
		frame := sampleFrame("Instruments", "/instruments")
		row := sampleSite().checkRow(gauge, check(c.n), nil, frame, nil)
		if row.Drawn != c.want {
			t.Errorf("of %d readings: %q, want %q", c.n, row.Drawn, c.want)
		}
		if c.want == "" {
			continue
		}
		page := sampleSite().gaugeCheckPage(frame, gauge, check(c.n), nil)
		page.Row = row
		for name, data := range map[string]any{"gauge_check": page, "instrument": InstrumentPage{Frame: frame, Checks: []CheckRow{row}}} {
			body, err := renderPage(name, data)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(body), c.want) {
				t.Errorf("page %s does not say %q", name, c.want)
			}
		}
	}
}
