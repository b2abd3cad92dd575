package web

import (
	"strings"
	"testing"

	"tracewright/models"
)

// What was found when a case was inspected again stands on its page with its code,
// and the case is as bad as that.
func TestWhatWasFoundSinceStandsOnTheCase(t *testing.T) {
	v := models.NonconformityView{Nonconformity: models.Nonconformity{Number: "NC27-00004", ItemID: "i1", Code: "W01", Severity: models.Major, OpenedAt: sampleNow, State: models.StateHeld},
		Steps: []models.NonconformityStep{{What: "inspect_fail", MadeAt: sampleNow, Found: []models.FoundDefect{{Code: "W15", Severity: models.Critical}}}}}
	s := sampleSite()
	body, err := renderPage("nonconformity", s.nonconformityPage(sampleFrame("NC27-00004", "/nonconformities"), v, models.Item{ID: "i1", Kind: models.KindWheel, State: models.StateHeld}, nil, filled(nil)))
	if err != nil {
		t.Fatal(err)
	}
	named := s.foundWords(v.Steps[0].Found[0], sampleNow)
	for _, want := range []string{"Found since, when it was inspected again: " + named, "Found now: " + named, severityMark(models.Critical).Word} {
		if !strings.Contains(string(body), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if !strings.HasSuffix(named, " (W15)") || severityMark(models.Critical).Word == "" || severityMark(models.Critical).Word == severityMark(models.Major).Word {
		t.Errorf("named %q, marked %+v", named, severityMark(models.Critical))
	}
}
