package models

import (
	"testing"
	"time"

	"tracewright/models/trail"
)

func encodingsOfGauges(at time.Time) []encoding {
	return []encoding{
		{CalibrationReport{ID: "c1", InstrumentID: "g1", N: 2, MadeAt: at, MadeBy: "Prüfstelle Ost", Points: []CalibrationPoint{{"400", "418", "401", "15", "3.0"}, {"800", "838", "800", "15", ""}}, Adjusted: true, AsLeftGood: true,
			StandardID: ptr("g2"), Note: "spring", EnteredAt: at, EnteredBy: "p1"},
			`{"adjusted":true,"as_found_good":false,"as_left_good":true,"entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p1","id":"c1","instrument":"g1","made_at":"2031-05-12T12:03:02.007Z",` +
				`"made_by":"Prüfstelle Ost","n":2,"note":"spring","points":[{"as_found":"418","as_left":"401","reference":"400","tolerance":"15","u":"3.0"},{"as_found":"838","as_left":"800","reference":"800","tolerance":"15"}],"standard_id":"g2"}`},
		{CalibrationReport{ID: "c1", InstrumentID: "g1", N: 1, MadeAt: at, Points: []CalibrationPoint{}, AsFoundGood: true, AsLeftGood: true, Standard: "hung weights", EnteredAt: at, EnteredBy: "p1"},
			`{"adjusted":false,"as_found_good":true,"as_left_good":true,"entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p1","id":"c1","instrument":"g1","made_at":"2031-05-12T12:03:02.007Z","n":1,"points":[],"standard":"hung weights"}`},
		{GaugeCheck{ID: "k1", InstrumentID: "g1", What: CheckWeight, Piece: "W-5", StandardID: ptr("g2"), Reference: "800", Low: "790", High: "810", AddedAt: at, AddedBy: "p1"},
			`{"added_at":"2031-05-12T12:03:02.007Z","added_by":"p1","high":"810","id":"k1","instrument":"g1","low":"790","piece":"W-5","reference":"800","standard_id":"g2","what":"check_weight"}`},
		{GaugeCheck{ID: "k1", InstrumentID: "g1", What: CheckZero, Reference: "0", Low: "-0.02", High: "0.02", AddedAt: at, AddedBy: "p1", EndedAt: ptr(at), EndedBy: ptr("p2")},
			`{"added_at":"2031-05-12T12:03:02.007Z","added_by":"p1","ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p2","high":"0.02","id":"k1","instrument":"g1","low":"-0.02","reference":"0","what":"zero"}`},
		{GaugeReading{ID: "r1", CheckID: "k1", InstrumentID: "g1", Value: "838", ValueF: 838, Place: "stand 1", ReadAt: at, ReadBy: "p1"},
			`{"check":"k1","good":false,"id":"r1","instrument":"g1","place":"stand 1","read_at":"2031-05-12T12:03:02.007Z","read_by":"p1","value":"838"}`},
		{GaugeTrace{ID: "t1", InstrumentID: "g1", Cause: CauseCalibration, CauseID: "c1", N: 1, Content: "{}", ContentHash: "ab", MadeAt: at, MadeBy: "p1"},
			`{"cause":"calibration","cause_id":"c1","content":"ab","id":"t1","instrument":"g1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","n":1}`},
	}
}

// What version 1 has no place for makes version 2, and only where it is there.
func TestWhatGaugesAddHasAVersionOfItsOwn(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	for _, c := range []struct {
		record Recorded
		want   string
	}{
		{Instrument{ID: "g1", Code: "L-14", Kind: "dial", Name: "dial", State: InstrumentOut, OutNote: "only to sort", Unit: "mm", CreatedAt: at, CreatedBy: "p1"},
			`{"code":"L-14","created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","id":"g1","kind":"dial","name":"dial","out_note":"only to sort","state":"out","unit":"mm"}`},
		{Recall{ID: "r1", Number: "R31-00001", Reason: "high", Scope: RecallScope{Trace: "t1"}, MadeAt: at, MadeBy: "p1"},
			`{"id":"r1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","number":"R31-00001","reason":"high","scope":{"trace":"t1"},"wanted":""}`},
	} {
		got, err := trail.Canonical(c.record.Canonical())
		if _, _, version := c.record.TrailName(); err != nil || string(got) != c.want || version != 2 {
			t.Errorf("version %d is\n%s, %v, want version 2\n%s", version, got, err, c.want)
		}
	}
}
