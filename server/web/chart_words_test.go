package web

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/numbers/spc"
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

// Where neighbours are alike, days are advised for points that are shorter than one.
func TestDaysAreAdvisedForSingleItemsAlone(t *testing.T) {
	for grouped, want := range map[string]bool{"": true, monitor.ByWeek: false, monitor.ByLot: false} {
		limits := spc.Limits{Facts: spc.Facts{N: 40, Distinct: 20, Lag1: 0.6, Lag1Limit: 0.32, Lag1Known: true, Correlated: true}}
		w := chartWords{v: monitor.ChartView{Grouped: grouped, Phases: []monitor.Phase{{Limits: limits}}}, kind: "wheel"}
		said := ""
		for _, f := range w.facts() {
			said += f.Means
		}
		if !strings.Contains(said, "claim more than they can hold") || strings.Contains(said, "whole days") != want {
			t.Errorf("by %q: %s", grouped, said)
		}
	}
}

func TestOneProductLiesHigh(t *testing.T) {
	for want, up := range map[string]int{"0 of 5 products lie high": 0, "1 of 5 products lies high": 1, "2 of 5 products lie high": 2} {
		if got := someHigh(up, 5); got != want {
			t.Errorf("%d of 5: %q, want %q", up, got, want)
		}
	}
}
