package web

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/attention"
)

// sampleNeeds is a list with a row of each level.
func sampleNeeds() attention.List {
	row := func(kind string, level attention.Level, at, named, code string, says models.Remark, lines ...models.Remark) attention.Row {
		return attention.Row{Kind: kind, Level: level, Says: says, Lines: lines, Since: sampleNow.Add(-50 * time.Hour), Count: 1, Do: attention.Deed{Code: code, Needs: models.ActLook, At: at, Named: named}}
	}
	due := row(attention.GaugeDue, attention.Due, "calibrate", "L-12", "calibrate", models.NewRemark("attention_gauge_due", "instrument_kind", "dial", "instrument", "L-12", "due", "2027-05-28"), models.NewRemark("attention_gauge_place", "place", "stand 1"), models.NewRemark("attention_gauge_spare", "instrument", "L-15"))
	due.By = "2027-05-28"
	return attention.List{At: sampleNow, Title: models.NewRemark("attention_title_some_cannot", "tally", "4", "also", "2"),
		Rows: []attention.Row{
			row(attention.Recall, attention.Safety, "recall", "R27-00003", "record_response", models.NewRemark("attention_recall", "recall", "R27-00003", "about", "SP-0931", "k", "5", "n", "12"), models.NewRemark("attention_recall_told", "k", "9", "n", "12")),
			row(attention.Claim, attention.Left, "claim", "CL27-00148", "answer", models.NewRemark("attention_claim_late", "claim", "CL27-00148", "serial", "P270009QV", "item_kind", "pack", "days", "10"), models.NewRemark("attention_claim_promised_many", "count", "5", "due", "2027-05-21")),
			row(attention.Held, attention.Stuck, "hold", "", "decide", models.NewRemark("attention_hold_long", "count", "4", "k", "2", "days", "14"), models.NewRemark("attention_held", "serial", "W26000051", "fault", "W19", "age", "23"), models.NewRemark("attention_held_lot", "lot", "SP-0931", "fault", "our own name of it", "age", "1")),
			due,
		},
		Fine: []models.Remark{models.NewRemark("attention_no_quarantine"), models.NewRemark("attention_no_unplaced")}, Notes: []models.Remark{models.NewRemark("attention_backup_sqlite")}, Others: 2}
}

func attentionPages(s *site, owner Frame) map[string][]any {
	return map[string][]any{"attention": {AttentionPage{Frame: owner}, s.attentionPage(owner, sampleNeeds()), s.attentionPage(owner, attention.List{At: sampleNow, Title: models.NewRemark("attention_title_none", "tally", "0", "also", "0"), Fine: []models.Remark{models.NewRemark("attention_no_hold")}})}}
}

// A serial, a lot or a number stands in mono, the words around it do not.
func TestNumbersInASentenceStandInMono(t *testing.T) {
	spans := spansOf(models.NewRemark("attention_claim_late", "claim", "CL27-00148", "serial", "P270009QV", "item_kind", "pack", "days", "10"))
	want := []Span{{Text: "Claim "}, {Text: "CL27-00148", Mono: true}, {Text: " on "}, {Text: "P27-0009Q-V", Mono: true}, {Text: " has had no answer for 10 days"}}
	if len(spans) != len(want) {
		t.Fatalf("%+v", spans)
	}
	for i := range want {
		if spans[i] != want[i] {
			t.Errorf("stretch %d is %+v, want %+v", i, spans[i], want[i])
		}
	}
}

// So it is in the evidence below, which begins with a capital and ends in one stop.
func TestEvidenceNamesThingsInMono(t *testing.T) {
	lines := []models.Remark{models.NewRemark("attention_gauge_place", "place", "stand 1"), models.NewRemark("attention_note", "note", " "), models.NewRemark("attention_gauge_spare", "instrument", "L-15"),
		models.NewRemark("attention_held", "serial", "W26000051", "fault", "W19", "age", "1")}
	var text, mono string
	for _, s := range evidence(lines) {
		text += s.Text
		if s.Mono {
			mono += s.Text + " "
		}
	}
	if text != lineOf(lines) || !strings.HasPrefix(text, "Used at stand 1 · the spare L-15 is in date · W26-00005-1 ") || !strings.HasSuffix(text, "1 day.") || mono != "L-15 W26-00005-1 " {
		t.Errorf("%q, in mono %q", text, mono)
	}
	if none := evidence(nil); none != nil || lineOf(nil) != "" {
		t.Errorf("of no evidence %+v", none)
	}
}

// Every act that a row may have leads somewhere of its own.
func TestEveryDeedHasItsPlace(t *testing.T) {
	for at, want := range map[string]string{"recall": "/recalls/R", "trace": "/instruments/R/traces/u", "gauge": "/instruments/R", "calibrate": "/instruments/R/calibrate", "check": "/instruments/R#checks", "hold": "/holds/R/lift", "nonconformity": "/nonconformities/R", "corrective_action": "/corrective-actions/R",
		"claim": "/claims/R", "lot": "/lots/R", "lot_explain": "/lots/R/explain", "block_lot": "/blocks/lots/R", "release": "/items/R/release", "shelf": "/shelf", "unplaced": "/unplaced", "in_work": "/in-work", "change": "/changes", "chart": "/charts"} {
		if got := deedPath(attention.Deed{At: at, Named: "R", Under: "u"}); got != want {
			t.Errorf("%s leads to %s, want %s", at, got, want)
		}
	}
	if got := deedPath(attention.Deed{At: "chart", Query: map[string]string{"family": "f1", "place": "stand 2"}}); got != "/charts?family=f1&place=stand+2" {
		t.Errorf("a chart is at %s", got)
	}
}
