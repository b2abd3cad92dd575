package web

import (
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/gauges"
)

// What went out and cannot be judged stands at the top with its number, in a list of
// its own, and leads to the recall of each item and of each window.
func TestWhatIsShippedAndCannotBeJudgedIsSaid(t *testing.T) {
	s, v := sampleSite(), sampleTrace()
	for _, gauge := range []string{"T-02", "T-03", "T-04"} {
		v.Content.Sets = append(v.Content.Sets, models.TraceSet{Instrument: gauge, Effect: map[bool]string{true: models.SetStaysGood, false: models.SetNotKnown}[gauge == "T-02"]})
	}
	page := s.gaugeTracePage(sampleFrame("Trace", "/instruments"), v, unjudgedView)
	if page.Unjudged == nil || page.Unjudged.N != 1 || page.Unjudged.Path != "/instruments/T-02/traces/t1?show=not-known-shipped" || !strings.Contains(page.Answer, "1 item nobody can tell of, 1 of 1 shipped") {
		t.Errorf("%q, %+v", page.Answer, page.Unjudged)
	}
	unknown := slices.IndexFunc(v.Items, func(i gauges.TracedItem) bool { return i.Effect == models.SetNotKnown })
	serial := *v.Items[unknown].Item.Serial
	if len(page.Rows) != 1 || page.Rows[0].Path != "/items/"+serial || page.Rows[0].Recall != "/recalls/new?part="+serial {
		t.Errorf("rows %+v", page.Rows)
	}
	// The windows of sampleTrace: from a year ago on, up to now. What T-02 read is judged.
	want := []string{"/recalls/new?from=2026-05-24&instrument=T-03&to=", "/recalls/new?instrument=T-04&to=2027-05-24"}
	if len(page.Unjudged.Recalls) != len(want) {
		t.Fatalf("recalls %+v", page.Unjudged.Recalls)
	}
	for i, a := range page.Unjudged.Recalls {
		if !strings.HasPrefix(a.Path, want[i]) {
			t.Errorf("recall %d: %s, want %s", i, a.Path, want[i])
		}
	}
	v.Items[unknown].Where = models.RecallHere
	page = s.gaugeTracePage(sampleFrame("Trace", "/instruments"), v, "not-known")
	if page.Unjudged != nil || len(page.Rows) != 1 || page.Rows[0].Recall != "" {
		t.Errorf("what is here: %+v, %+v", page.Unjudged, page.Rows)
	}
}
