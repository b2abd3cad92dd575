package models

import (
	"testing"
	"time"

	"tracewright/models/trail"
)

// A step from before says no severity and keeps its version; one that says how bad it is
// is of version 2.
func TestAStepThatSaysHowBadItIs(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	s := NonconformityStep{ID: "s1", NonconformityID: "n1", What: "inspect_fail", Severity: Critical, Note: "r", MadeBy: "p1", MadeAt: at}
	got, err := trail.Canonical(s.Canonical())
	want := `{"id":"s1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","nonconformity":"n1","note":"r","severity":"critical","what":"inspect_fail"}`
	if _, _, version := s.TrailName(); err != nil || string(got) != want || version != 2 {
		t.Errorf("version %d is\n%s (%v), want version 2\n%s", version, got, err, want)
	}
}

func encodingsOfNonconformities(at time.Time) []encoding {
	return []encoding{
		{Nonconformity{ID: "n1", Number: "NC31-00001", ItemID: "i1", Code: "W01", Severity: Major, Failed: []string{}, Holds: []string{}, OpenedBy: "p1", OpenedAt: at, State: "rework"},
			`{"code":"W01","id":"n1","item":"i1","number":"NC31-00001","opened_at":"2031-05-12T12:03:02.007Z","opened_by":"p1","severity":"major"}`},
		{Nonconformity{ID: "n1", Number: "NC31-00001", ItemID: "i1", InspectionID: ptr("a1"), Code: "W01", Severity: Critical, Note: "hops", Failed: []string{"dish", "radial_runout"}, Holds: []string{"h1"}, OpenedBy: "p1", OpenedAt: at},
			`{"code":"W01","failed":["dish","radial_runout"],"holds":["h1"],"id":"n1","inspection":"a1","item":"i1","note":"hops","number":"NC31-00001","opened_at":"2031-05-12T12:03:02.007Z","opened_by":"p1","severity":"critical"}`},
		{NonconformityStep{ID: "s1", NonconformityID: "n1", What: "noted", MadeBy: "p1", MadeAt: at},
			`{"id":"s1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","nonconformity":"n1","what":"noted"}`},
		{NonconformityStep{ID: "s1", NonconformityID: "n1", What: "x", InspectionID: ptr("a1"), Results: []string{"dish_abs"}, Work: "retension", Again: []string{"dish"}, Supplier: "Halden", Lot: "L1", Marked: true, Holds: []string{"h2"}, Note: "r", MadeBy: "p1", MadeAt: at},
			`{"again":["dish"],"holds":["h2"],"id":"s1","inspection":"a1","lot":"L1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","marked":true,"nonconformity":"n1","note":"r","results":["dish_abs"],"supplier":"Halden","what":"x","work":"retension"}`},
		{DefectRevision{ID: "d1", Code: "W25", Revision: 1, Name: "hub cap loose", Severity: Minor, Retired: true, Reason: "r", MadeBy: "p1", MadeAt: at},
			`{"code":"W25","id":"d1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","name":"hub cap loose","reason":"r","retired":true,"revision":1,"severity":"minor"}`},
		{DefectRevision{ID: "d1", Code: "W01", Revision: 2, Severity: Major, MadeBy: "p1", MadeAt: at},
			`{"code":"W01","id":"d1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","reason":"","revision":2,"severity":"major"}`},
		{CorrectiveAction{ID: "c1", Number: "CA31-00001", OpenedBy: "p1", OpenedAt: at, State: "done"},
			`{"id":"c1","number":"CA31-00001","opened_at":"2031-05-12T12:03:02.007Z","opened_by":"p1"}`},
		{CorrectiveActionStep{ID: "t1", ActionID: "c1", What: "checked", Worked: true, Note: "none since", MadeBy: "p1", MadeAt: at},
			`{"corrective_action":"c1","id":"t1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","note":"none since","what":"checked","worked":true}`},
		{CorrectiveActionStep{ID: "t1", ActionID: "c1", What: "stated", Problem: "p", Containment: "k", Cause: "c", Action: "a", OwnerID: "p2", DueOn: "2031-06-01", CheckOn: "2031-07-01", Codes: []string{"W08"}, Lots: []string{"L1"}, Nonconformities: []string{"NC31-00001"}, MadeBy: "p1", MadeAt: at},
			`{"action":"a","cause":"c","check_on":"2031-07-01","codes":["W08"],"containment":"k","corrective_action":"c1","due_on":"2031-06-01","id":"t1","lots":["L1"],"made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","nonconformities":["NC31-00001"],"owner":"p2","problem":"p","what":"stated"}`},
	}
}
