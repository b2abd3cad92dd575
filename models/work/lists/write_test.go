package lists_test

import (
	"fmt"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/trade/ident"
	"tracewright/models/work/lists"
)

// What was written out is on record: read in again, each row of it is there just
// so, in both forms.
func TestWhatGoesOutComesInAgain(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		d.building(t)
		d.take(t, "lots", "material,description,supplier,supplier lot,quantity\nnipples,'=1+1; '-2,-Orlo,@7,3\n")
		d.take(t, "build-records", "item,role,lot,number,quantity,built in on,by\nR-118,spokes b,SP-1,,18,2029-03-05,Test operator\nR-118,motor,,N2,,,\n")
		// A maker's number that has the length and the letter of a serial is none.
		d.take(t, "items", "kind,supplier,model,number\nmotor,Krel,K6,K6-311299\n")
		d.take(t, "build-records", "item,role,place,number\n"+*d.AnotherWheel().Serial+",motor,B,K6-311299\n")
		d.take(t, "customers", "name,phone,e-mail,address,note\n"+mara+"=Evil(),,,\"a;\n-b\",'t Hooft\n")
		sub := d.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_b", Lot: "SP-2", Quantity: 18}}
		d.MustRecord(sub)
		for _, kind := range lists.Kinds() {
			if kind.In == "" {
				continue
			}
			for name, form := range map[string]sheet.Form{"commas": sheet.Commas, "semicolons": sheet.Semicolons} {
				out := d.written(t, d.Owner, kind.Name, lists.Ask{Form: form})
				report := d.try(t, kind.Name, out)
				if got := told(report); len(got) > 0 || report.New > 0 || report.Same != report.Rows || report.Rows < 2 {
					t.Errorf("%s with %s: %d rows, %d new, %d there, %v\n%s", kind.Name, name, report.Rows, report.New, report.Same, got, out)
				}
			}
		}
	})
}

// A list of results is made for counting: decimals of the language, the verdict
// beside them, nobody's name; what a correction replaced is left out.
func TestResultsAreWrittenOut(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		wrong := d.Extremes()
		wrong.Sets[0].Values = []string{"0.40", "-0.09"}
		d.MustRecord(wrong)
		right := d.Extremes()
		right.Corrects, right.Reason = wrong.ID, "misread"
		d.MustRecord(right)
		serial := ident.Print(d.Serial[models.KindWheel])
		// Full lateral reading: 0.13 less -0.09; measured a minute before noon.
		if out := d.written(t, d.Owner, "results", lists.Ask{}); !strings.Contains(out, "\n"+serial+",wheel,after_relief,2031-05-12 11:59,lateral_tir,,0.22,mm,pass\n") || strings.Contains(out, "0.49") || strings.Contains(out, "Test") {
			t.Errorf("written is %s", out)
		}
		if out := d.written(t, d.Owner, "results", lists.Ask{Form: sheet.Semicolons}); !strings.Contains(out, ";lateral_tir;;0,22;mm;pass\n") {
			t.Errorf("written is %s", out)
		}
	})
}

// Who built in is told to the owner; a list is longer than one page of records.
func TestLongListsAndNamesOfPeople(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		var b strings.Builder
		b.WriteString("kind,supplier,model,number\n")
		for i := range 1201 {
			fmt.Fprintf(&b, "motor,Norvik,R9,N%d\n", i)
		}
		d.take(t, "items", b.String())
		out := d.written(t, d.Operator, "items", lists.Ask{})
		if n := strings.Count(out, ",motor,"); n != 1201 {
			t.Errorf("%d motors are written, want 1201", n)
		}
		d.take(t, "build-records", "item,role,number,by\n"+d.Serial[models.KindWheel]+",motor,N7,Test operator\n")
		for actor, named := range map[models.Actor]bool{d.Owner: true, d.Operator: false} {
			if out := d.written(t, actor, "build-records", lists.Ask{}); strings.Contains(out, "Test operator") != named || !strings.Contains(out, ",motor,,,N7,Norvik,R9,1,2031-05-12,") {
				t.Errorf("to the %s is written %s", actor.Role, out)
			}
		}
	})
}
