package models

import (
	"slices"
	"testing"
	"time"

	"tracewright/models/trail"
)

// encoding is a record with its canonical form.
type encoding struct {
	record Recorded
	want   string
}

func ptr[T any](x T) *T { return &x }

// The canonical encodings, version 1, of fixed records, written here by hand
// from the rules: members in the order of their names, absent values left out,
// measured values as text, times in UTC with milliseconds. A change that makes
// one of these fail would break every trail that exists: it needs a version 2.
func TestCanonicalEncodingsVersion1(t *testing.T) {
	at := time.Date(2031, 5, 12, 14, 3, 2, 7_000_000, time.FixedZone("", 2*3600))
	for _, c := range slices.Concat(encodingsOfThings(at), encodingsOfForms(at), encodingsOfTurns(at), encodingsOfShelf(at), encodingsOfStock(at), encodingsOfShipping(at), encodingsOfGoods(at), encodingsOfLabels(at), encodingsOfRecalls(at), encodingsOfClaims(at), encodingsOfGauges(at), encodingsOfStudies(at), encodingsOfNonconformities(at), encodingsOfCharts(at), encodingsOfReviews(at), encodingsOfBackups(at), []encoding{
		{Person{ID: "p1", Name: "Żółć", Login: ptr("z"), Role: Owner, PasswordHash: "secret", PINHash: "secret", Active: true, CreatedAt: at},
			`{"active":true,"created_at":"2031-05-12T12:03:02.007Z","id":"p1","login":"z","name":"Żółć","role":"owner"}`},
		{Setting{Name: "n", Value: `a"b`}, `{"name":"n","value":"a\"b"}`},
		{Lot{ID: "l1", Code: "SP-1", Material: "spokes", Quantity: 500, ReceivedAt: at, ReceivedBy: "p1"},
			`{"code":"SP-1","id":"l1","material":"spokes","quantity":500,"received_at":"2031-05-12T12:03:02.007Z","received_by":"p1"}`},
		{Item{ID: "i1", Kind: KindWheel, Serial: ptr("W31000019"), SerialTail: ptr("00019"), State: StateHeld, Origin: "made", CreatedAt: at, CreatedBy: "p1"},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","id":"i1","kind":"wheel","origin":"made","serial":"W31000019"}`},
		{Hold{ID: "h1", ItemID: ptr("i1"), Code: "W14", Reason: "step", StateBefore: "conforming", RaisedBy: "p1", RaisedAt: at},
			`{"code":"W14","id":"h1","item":"i1","raised_at":"2031-05-12T12:03:02.007Z","raised_by":"p1","reason":"step","state_before":"conforming"}`},
		{CertificateChange{CertificateID: "c1", State: Void, Reason: "r", ChangedBy: "p1", ChangedAt: at},
			`{"certificate":"c1","changed_at":"2031-05-12T12:03:02.007Z","changed_by":"p1","reason":"r","state":"void"}`},
		{RecordedInspection{
			Inspection: Inspection{ID: "n1", ItemID: "i1", FamilyID: "f1", SpecificationID: "s1", Stage: AfterRelief, PersonID: "p1", StartedAt: at, MeasuredAt: at, ReceivedAt: at, OffsetMS: -3,
				Verdict: VerdictPass, SentHash: "aa", Round: 3, FirstSet: true, SupersededBy: ptr("n2"), Remarks: []Remark{NewRemark("clock_differs", "offset", "3 h")}},
			Sets: []ReadingSet{{InspectionID: "n1", Code: "lateral_runout", Method: Extremes, InstrumentID: ptr("g1"), PersonID: "p1", Unit: "mm", Values: []string{"0,130", "-0.09"},
				Index: []Position{Spoke(8), Block(1, 3)}, Moments: []int64{0, 1500}}},
			Results: []Result{{InspectionID: "n1", Code: "lateral_tir", Value: "0.220", ValueF: ptr(0.22), Unit: "mm", High: "0.30", Verdict: VerdictPass, Reason: "within", Method: Extremes, Readings: 2,
				Detail: map[string]string{"highest_at": "8"}}},
		}, `{"conditions":{},"family":"f1","id":"n1","item":"i1","measured_at":"2031-05-12T12:03:02.007Z","offset_ms":-3,"person":"p1","received_at":"2031-05-12T12:03:02.007Z","recheck":false,` +
			`"remarks":[{"code":"clock_differs","values":{"offset":"3 h"}}],` +
			`"results":[{"code":"lateral_tir","detail":{"highest_at":"8"},"high":"0.30","method":"extremes","readings":2,"reason":"within","unit":"mm","value":"0.220","verdict":"pass"}],` +
			`"sent":"aa","sets":[{"code":"lateral_runout","index":["8","1.3"],"instrument":"g1","method":"extremes","moments":[0,1500],"person":"p1","remarks":[],"unit":"mm","values":["0,130","-0.09"]}],` +
			`"specification":"s1","stage":"after_relief","started_at":"2031-05-12T12:03:02.007Z","verdict":"pass"}`},
	}) {
		kind, _, version := c.record.TrailName()
		t.Run(kind, func(t *testing.T) {
			got, err := trail.Canonical(c.record.Canonical())
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != c.want || version != 1 {
				t.Errorf("version %d of %s is\n%s\nwant version 1\n%s", version, kind, got, c.want)
			}
		})
	}
}

// An item that was built before the log says when, which version 1 has no place
// for.
func TestAnItemThatIsOlderThanTheLogHasItsOwnVersion(t *testing.T) {
	older := Item{ID: "i3", Kind: KindWheel, Serial: ptr("W26000051"), MakerNumber: ptr("R-118"), FamilyID: ptr("f1"), ProductID: ptr("x1"), State: StateHeld, Origin: "made", BuiltOn: "2024-03-05",
		CreatedAt: time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC), CreatedBy: "p1"}
	want := `{"built_on":"2024-03-05","created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","family":"f1","id":"i3","kind":"wheel","maker_number":"R-118","origin":"made","product":"x1","serial":"W26000051"}`
	got, err := trail.Canonical(older.Canonical())
	if _, _, version := older.TrailName(); err != nil || string(got) != want || version != 2 {
		t.Errorf("version %d is\n%s, %v, want version 2\n%s", version, got, err, want)
	}
}

// What is signed has a version of its own, which covers the signature; without
// one the encoding is that of old.
func TestASignedCertificateHasItsOwnVersion(t *testing.T) {
	signed := Certificate{ID: "c3", Number: "C31-00008", Revision: 1, ItemID: "i1", InspectionID: "n1", Content: "{}", ContentHash: "ef", Signature: ptr("5a5a"), KeyID: ptr("k1"), IssuedBy: "p2",
		IssuedAt: time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)}
	want := `{"content":"ef","id":"c3","inspection":"n1","issued_at":"2031-05-12T12:03:02.007Z","issued_by":"p2","item":"i1","key":"k1","number":"C31-00008","revision":1,"signature":"5a5a"}`
	got, err := trail.Canonical(signed.Canonical())
	if _, _, version := signed.TrailName(); err != nil || string(got) != want || version != 2 {
		t.Errorf("version %d is\n%s, %v, want version 2\n%s", version, got, err, want)
	}
}

func TestPositionsAsJSON(t *testing.T) {
	for _, c := range []struct {
		text  string
		want  Position
		shown string
	}{{"0", Spoke(0), "1"}, {"35", Spoke(35), "36"}, {"[2,3]", Block(2, 3), "2.3"}, {"[1,0]", Block(1, 0), "0"}} {
		var p Position
		if err := p.UnmarshalJSON([]byte(c.text)); err != nil || p != c.want || p.Shown() != c.shown {
			t.Errorf("%s is %+v shown as %s (%v), want %+v as %s", c.text, p, p.Shown(), err, c.want, c.shown)
		}
		back, err := p.MarshalJSON()
		if err != nil || string(back) != c.text {
			t.Errorf("%s came back as %s (%v)", c.text, back, err)
		}
	}
	for _, bad := range []string{`"3"`, "[1]", "[0,1]", "[1,2,3]", "{}", "1.5"} {
		if err := new(Position).UnmarshalJSON([]byte(bad)); err == nil {
			t.Errorf("%s was taken as a position", bad)
		}
	}
}

// The owner may do everything, an unknown role nothing, and lifting a hold,
// voiding and placing are not an operator's.
func TestPermissions(t *testing.T) {
	for _, a := range Acts {
		if !Permitted(Owner, a) {
			t.Errorf("the owner may not %s", a)
		}
		if Permitted("stranger", a) {
			t.Errorf("a stranger may %s", a)
		}
	}
	for _, a := range []Act{ActLiftHold, ActVoid, ActPlace, ActCalibrate, ActSpecify, ActManagePeople} {
		if Permitted(Operator, a) || Permitted(Desk, a) {
			t.Errorf("operator or desk may %s", a)
		}
	}
}
