package models

import (
	"testing"
	"time"

	"tracewright/models/trail"
)

func encodingsOfStudies(at time.Time) []encoding {
	return []encoding{
		{GaugeStudy{ID: "s1", Number: 3, Design: StudyCrossed, InstrumentID: "g1", FamilyID: "f1", SpecificationID: "c1", Characteristic: "lateral_runout", Result: "lateral_tir", Unit: "mm", Units: []string{"mm", "in"},
			High: "0.30", Persons: []string{"p1", "p2"}, Items: []StudyItem{{Name: "W26000051"}, {Name: "W26000069"}}, Repeats: 1, Seed: 1<<62 + 1, Turns: []StudyTurn{{1, 0, 1}, {0, 1, 1}}, PlannedAt: at, PlannedBy: "p3"},
			`{"characteristic":"lateral_runout","design":"crossed","family":"f1","high":"0.30","id":"s1","instrument":"g1","items":[{"name":"W26000051"},{"name":"W26000069"}],"number":3,"persons":["p1","p2"],` +
				`"planned_at":"2031-05-12T12:03:02.007Z","planned_by":"p3","repeats":1,"result":"lateral_tir","seed":"4611686018427387905","specification":"c1","turns":[[1,0,1],[0,1,1]],"unit":"mm","units":["mm","in"]}`},
		{GaugeStudy{ID: "s2", Number: 4, Design: StudyBias, InstrumentID: "g1", FamilyID: "f1", SpecificationID: "c1", Characteristic: "tension_a", Result: "tension_mean_tight", Unit: "N", Low: "800", High: "1300",
			Persons: []string{"p1"}, Items: []StudyItem{{Name: "weight", Reference: "1000.0"}}, Repeats: 1, Seed: -7, Turns: []StudyTurn{{-1, 0, 1}}, Note: "before the audit", PlannedAt: at, PlannedBy: "p3"},
			`{"characteristic":"tension_a","design":"bias","family":"f1","high":"1300","id":"s2","instrument":"g1","items":[{"name":"weight","reference":"1000.0"}],"low":"800","note":"before the audit","number":4,` +
				`"persons":["p1"],"planned_at":"2031-05-12T12:03:02.007Z","planned_by":"p3","repeats":1,"result":"tension_mean_tight","seed":"-7","specification":"c1","turns":[[-1,0,1]],"unit":"N"}`},
		{StudyReading{ID: "r1", StudyID: "s1", Turn: 0, Typed: ",210", TypedUnit: "mm", Value: "0.210", PersonID: "p2", EnteredBy: "p3", EnteredAt: at, DeviceID: ptr("d1")},
			`{"device":"d1","entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p3","id":"r1","person":"p2","study":"s1","turn":0,"typed":",210","typed_unit":"mm","value":"0.210"}`},
		{StudyStrike{ReadingID: "r1", Reason: "mistyped", StruckBy: "p2", StruckAt: at},
			`{"reading":"r1","reason":"mistyped","struck_at":"2031-05-12T12:03:02.007Z","struck_by":"p2"}`},
		{StudyEnd{StudyID: "s1", What: StudyConfirmed, Figures: []StudyFigure{{"gauge", "0.0042"}, {"judgement", "may_do"}}, MadeAt: at, MadeBy: "p3"},
			`{"figures":[{"code":"gauge","value":"0.0042"},{"code":"judgement","value":"may_do"}],"made_at":"2031-05-12T12:03:02.007Z","made_by":"p3","study":"s1","what":"confirmed"}`},
		{StudyEnd{StudyID: "s1", What: StudyGivenUp, Reason: "the dial broke", MadeAt: at, MadeBy: "p3"},
			`{"figures":[],"made_at":"2031-05-12T12:03:02.007Z","made_by":"p3","reason":"the dial broke","study":"s1","what":"given_up"}`},
		{UncertaintyBudget{ID: "b1", FamilyID: "f1", Result: "lateral_tir", Revision: 2, Unit: "mm", Coverage: "0.9545", Combined: "0.0112", K: "2.08696", Freedom: "27", U: "0.023", StudyID: ptr("s1"), Reason: "3", MadeAt: at, MadeBy: "p3",
			Lines: []BudgetLine{{Source: FromStudy, Name: "repeatability", Shape: "repeats", Value: "0.0110", N: 1, Freedom: "27", StudyID: "s1", Instrument: "D-1"}, {Source: FromCalibration, Shape: "stated", Value: "0.004", K: "2", Sensitivity: "1.414"}}},
			`{"combined":"0.0112","coverage":"0.9545","family":"f1","freedom":"27","id":"b1","k":"2.08696","lines":[{"freedom":"27","instrument":"D-1","n":1,"name":"repeatability","shape":"repeats","source":"study","study":"s1",` +
				`"value":"0.0110"},{"k":"2","sensitivity":"1.414","shape":"stated","source":"calibration","value":"0.004"}],"made_at":"2031-05-12T12:03:02.007Z","made_by":"p3","reason":"3","result":"lateral_tir","revision":2,` +
				`"study":"s1","u":"0.023","unit":"mm"}`},
	}
}

// A specification whose results have rules of their own, or an uncertainty from a
// budget, is version 2: all of version 1, and that.
func TestCanonicalEncodingVersion2OfASpecification(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	s := Specification{ID: "s1", FamilyID: "f1", Revision: 4, Grade: "fine", Rule: "simple", CreatedAt: at, CreatedBy: "p1", Reason: "after the study",
		Characteristics: []Characteristic{{Code: "dish", Form: Measured, Results: []Limit{{Result: "dish_abs", Unit: "mm", Decimals: 4, High: "1.0", U: "0.11", Rule: "iso14253", GuardFactor: "0.82", Budget: "b1"}}}}}
	want := `{"applies_to_stock":false,"characteristics":[{"code":"dish","form":"measured","results":[{"budget":"b1","decimals":4,"guard_factor":"0.82","high":"1.0","result":"dish_abs","rule":"iso14253","u":"0.11","unit":"mm"}]}],` +
		`"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","family":"f1","grade":"fine","id":"s1","reason":"after the study","revision":4,"rule":"simple"}`
	got, err := trail.Canonical(s.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	if _, _, version := s.TrailName(); string(got) != want || version != 2 {
		t.Errorf("version %d is\n%s\nwant version 2\n%s", version, got, want)
	}
	s.Characteristics[0].Results[0] = Limit{Result: "dish_abs", Unit: "mm", Decimals: 4, High: "1.0", U: "0.11", Budget: "b1"}
	if _, _, version := s.TrailName(); version != 2 {
		t.Errorf("with a budget alone it is version %d", version)
	}
}
