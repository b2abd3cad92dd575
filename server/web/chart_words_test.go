package web

import (
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// Every cause has words, and so has every reason for a kind of chart.
func TestCausesAndKindsOfChartsHaveWords(t *testing.T) {
	c := words.In("en")
	for _, code := range models.SignalCauseCodes {
		if !c.Has("cause." + code) {
			t.Errorf("cause %s has no words", code)
		}
	}
	for _, n := range []monitor.Nature{monitor.Skewed, monitor.FromZero, monitor.Level, monitor.Signed, monitor.LongTail, monitor.CountedThings, monitor.Ticked, monitor.OfLots} {
		if !c.Has("chart_kind." + string(n) + "_one") {
			t.Errorf("a chart of what is %s has no reason in words", n)
		}
	}
}
