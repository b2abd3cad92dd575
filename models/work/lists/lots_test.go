package lists_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/lists"
)

// Bytes as a spreadsheet saves them, and all that is wrong with them. The shop has
// lot SP-1: 500 spokes of Drahtwerk Anselm, which came on 2031-05-02. It is noon of
// 2031-05-12.
func TestEveryFaultOfAListOfLotsIsToldByItsRow(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		d.take(t, "lots", "code,material,supplier,quantity,received on\nSP-1,spokes,Drahtwerk Anselm,500,2031-05-02\n")
		known, err := d.goods.Materials(t.Context())
		d.Must(err)
		var called []string
		for _, m := range known {
			called = append(called, m.Name)
		}
		materials := strings.Join(called, ", ")
		for name, test := range map[string]struct {
			raw  string
			want []string
			// rows that are new, and those that are there
			fresh, same int
		}{
			"English":                        {"code,material,quantity,received on\nA,spokes,10,2031-05-02\n", nil, 1, 0},
			"German":                         {"\ufeffcode;material;quantity;received on\r\nA;spokes;10,0;02.05.2031\r\n", nil, 1, 0},
			"from the clipboard":             {"code\tmaterial\nA\tspokes", nil, 1, 0},
			"another order, capitals, marks": {"Received-On,MATERIAL,Supplier_Lot,Code\n2031-05-02,Spokes,x,A", nil, 1, 0},
			"empty rows and columns":         {"code,material,,\nA,spokes,,\n,,,\n\nB,spokes,,\n", nil, 2, 0},
			"line breaks in cells":           {"code,material,description\nA,spokes,\"2.34 mm\nplain\"\nB,gold,\n", []string{"row 3, material: list_unknown_material names=" + materials + " typed=gold"}, 1, 0},
			"a formula is a text":            {"code,material,description\nA,spokes,'=1+1\n", nil, 1, 0},
			"no code: one is given":          {"material,quantity\nspokes,10\n", nil, 1, 0},
			"what is there":                  {"code,material,quantity\nSP-1,spokes,500\n", nil, 0, 1},
			"what is there, in other words":  {"code,material,supplier,quantity,received on\nSP-1,Spokes,drahtwerk  anselm,500.0,02.05.2031\n", nil, 0, 1},
			"what is there otherwise":        {"code,material,quantity,received on\nSP-1,spokes,501,2031-05-03\n", []string{"row 2, code: list_differs names=quantity, received on value=SP-1"}, 0, 0},
			"twice in the list":              {"code,material\nA,spokes\nB,spokes\nA,spokes\n", []string{"row 4, code: list_twice row=2"}, 2, 0},
			"twice without a code":           {"material,quantity\nspokes,10\nspokes,11\nspokes,10\n", []string{"row 4, code: list_twice row=2"}, 2, 0},
			"a heading mistyped":             {"code,material,qantity\nA,spokes,10\n", []string{"row 1, qantity: list_heading_near name=quantity"}, 1, 0},
			"and what stands below it":       {"code,matrial,qantity\nA,spokes,10\nB,gold,x\n", []string{"row 1, matrial: list_heading_near name=material", "row 1, qantity: list_heading_near name=quantity", "row 3, material: list_unknown_material names=" + materials + " typed=gold", "row 3, quantity: list_not_whole typed=x"}, 1, 0},
			"a line that says the mark":      {"sep=;\ncode;material\nA;spokes\n", nil, 1, 0},
			"a heading of the shop's own":    {"code,material,price\nA,spokes,12.50\n", nil, 1, 0},
			"a heading twice":                {"code,material,lot\nA,spokes,B\n", []string{"row 1, code: list_heading_twice"}, 1, 0},
			"a needed column missing":        {"code,quantity\nA,10\nB,x\n", []string{"row 1, material: list_column_missing", "row 3, quantity: list_not_whole typed=x"}, 0, 0},
			"no heading":                     {"A,10\nB,20\n", []string{"row 1: list_no_heading names=code, material, description, supplier, supplier lot, date code, quantity, received on"}, 0, 0},
			"a needed cell empty":            {"code,material\nA,\n", []string{"row 2, material: missing"}, 0, 0},
			"too many cells":                 {"code,material\nSmith, John,spokes\n", []string{"row 2, material: list_unknown_material names=" + materials + " typed=John", "row 2: list_too_many_cells got=3 most=2"}, 0, 0},
			"a number of two meanings":       {"code,material,quantity\nA,spokes,1.000\nB,spokes,\"1,000\"\n", []string{"row 2, quantity: list_number_two_meanings typed=1.000", "row 3, quantity: list_number_two_meanings typed=1,000"}, 0, 0},
			"half a piece":                   {"code;material;quantity\nA;spokes;18,5\n", []string{"row 2, quantity: list_not_whole typed=18,5"}, 0, 0},
			"fewer than none":                {"code,material,quantity\nA,spokes,-5\n", []string{"row 2, quantity: negative_not_possible"}, 0, 0},
			"more than any delivery":         {"code,material,quantity\nA,spokes,10000001\n", []string{"row 2, quantity: too_big most=10000000"}, 0, 0},
			"a day of two meanings":          {"code,material,received on\nA,spokes,03/05/2031\n", []string{"row 2, received on: list_day_two_meanings typed=03/05/2031"}, 0, 0},
			"no day":                         {"code,material,received on\nA,spokes,soon\nB,spokes,30.02.2031\n", []string{"row 2, received on: list_not_a_day typed=soon", "row 3, received on: list_not_a_day typed=30.02.2031"}, 0, 0},
			"tomorrow":                       {"code,material,received on\nA,spokes,2031-05-13\n", []string{"row 2, received on: day_ahead"}, 0, 0},
			"a year with a digit too few":    {"code,material,received on\nA,spokes,0206-05-02\n", []string{"row 2, received on: day_too_early year=1970"}, 0, 0},
			"what is there in small letters": {"code,material\nsp-1,spokes\n", []string{"row 2, code: taken value=SP-1"}, 0, 0},
			"twice, once in small letters":   {"code,material\nA,spokes\na,spokes\n", []string{"row 3, code: list_twice row=2"}, 1, 0},
			"a serial for a code":            {"code,material\nW26-00005-1,spokes\n", []string{"row 2, code: like_a_serial number=W26-00005-1"}, 0, 0},
			"a text too long":                {"code,material\n" + strings.Repeat("x", 41) + ",spokes\n", []string{"row 2, code: too_long most=40"}, 0, 0},
			"characters that were lost":      {"code,material\nA\ufffdB,spokes\nC\x07,spokes\n", []string{"row 2, code: list_bad_characters", "row 3, code: list_bad_characters"}, 0, 0},
			"a quotation mark inside":        {"code,material\n26\" x,spokes\nB,spokes\n", []string{"row 2: sheet_quote"}, 1, 0},
			"one that is never closed":       {"code,material\nB,spokes\n\"A,spokes\nC,spokes", []string{"row 3: sheet_quote_open"}, 1, 0},
			"one broken byte":                {"code,material,description\nA,spokes,für M\xc3ller\nB,spokes,grün\n", []string{"row 2: sheet_torn"}, 1, 0},
			"and a byte order mark":          {"\ufeffcode,material,note\nA,spokes,\nB,spokes,gr\xfcn\n", []string{"row 3: sheet_torn"}, 1, 0},
			"broken off":                     {"code,material,description\nA,spokes,für\nB,spokes,gr\xc3", []string{"row 3: sheet_torn"}, 1, 0},
			"the file of a spreadsheet":      {"PK\x03\x04\x00", []string{"list_no_text"}, 0, 0},
			"nothing":                        {"", []string{"list_empty"}, 0, 0},
			"a heading alone":                {"code,material\n\n", []string{"list_empty"}, 0, 0},
			"too many rows":                  {"code,material\n" + strings.Repeat("A,spokes\n", lists.MostRows+1), []string{"list_too_long most=20000"}, 0, 0},
			"too many bytes":                 {strings.Repeat("x", lists.MostBytes+1), []string{"too_large most=10 MB"}, 0, 0},
		} {
			t.Run(name, func(t *testing.T) {
				before := d.stored(t)
				report := d.try(t, "lots", test.raw)
				slices.Sort(test.want)
				if got := told(report); !slices.Equal(got, test.want) {
					t.Errorf("problems\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(test.want, "\n"))
				}
				if report.New != test.fresh || report.Same != test.same {
					t.Errorf("%d new and %d there, want %d and %d", report.New, report.Same, test.fresh, test.same)
				}
				if len(test.want) == 0 {
					return
				}
				var invalid *models.InvalidError
				if _, err := d.s.TakeIn(t.Context(), d.Owner, "lots", []byte(test.raw), report.Digest); !errors.As(err, &invalid) || len(invalid.Problems) != len(test.want) {
					t.Errorf("taken in all the same: %v", err)
				}
				if after := d.stored(t); fmt.Sprint(before) != fmt.Sprint(after) {
					t.Errorf("a list that was refused left something: %v, before %v", after, before)
				}
			})
		}
	})
}

// What is worth saying and stands against nothing.
func TestNotes(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		report := d.try(t, "lots", "code,material,description,Preis\nA,spokes,f\xfcr Fr\xe4ulein,1\n")
		if want := [][]string{{"A", "spokes", "für Fräulein"}}; fmt.Sprint(report.First) != fmt.Sprint(want) || fmt.Sprint(report.Heads) != "[code material description]" {
			t.Errorf("the first row is understood as %v of %v", report.First, report.Heads)
		}
		if got := models.Codes(report.Notes); got != "list_windows_1252,list_column_left_out" || len(report.Problems) > 0 || !strings.Contains(report.Text, "für Fräulein") {
			t.Errorf("notes %s, problems %v, text %q", got, told(report), report.Text)
		}
	})
}

// A lot that came by a list is the lot that a person enters: its supplier joins the
// register, the log has an entry for each, in the name of who took it in.
func TestLotsAreTakenInAsIfByHand(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		before := d.stored(t)
		raw := "code;material;description;supplier;supplier lot;date code;quantity;received on\nL31-0007;spokes;2.34 mm;Orlo;A-7;3104;2.000,0;02.05.2031\n;Nipples;;orlo;;;;\n"
		if report := d.try(t, "lots", raw); len(report.Problems) != 1 || report.Problems[0].Code != "list_not_whole" {
			t.Errorf("2.000,0: %v", told(report))
		}
		raw = strings.Replace(raw, "2.000,0", "2000,0", 1)
		report := d.take(t, "lots", raw)
		if report.New != 2 || report.Given != 1 {
			t.Errorf("%+v", report)
		}
		stored, err := d.Store.LotsByCode(t.Context(), []string{"L31-0007", "L31-0008"}) // The next number behind the highest of the year.
		d.Must(err)
		if len(stored) != 2 {
			t.Fatalf("stored are %+v", stored)
		}
		first, second := stored[0], stored[1]
		first.ID, second.ID = "", ""
		if want := (models.Lot{Code: "L31-0007", Material: "spokes", Description: "2.34 mm", Supplier: "Orlo", SupplierCode: "A-7", DateCode: "3104", Quantity: 2000, ReceivedAt: time.Date(2031, 5, 2, 12, 0, 0, 0, time.UTC), ReceivedBy: d.Owner.PersonID}); first != want {
			t.Errorf("stored is %+v, want %+v", first, want)
		}
		if want := (models.Lot{Code: "L31-0008", Material: "nipples", Supplier: "Orlo", ReceivedAt: d.Now, ReceivedBy: d.Owner.PersonID}); second != want {
			t.Errorf("stored is %+v, want %+v", second, want)
		}
		after := d.stored(t)
		for table, more := range map[string]int{"lots": 2, "suppliers": 1, "trail_entries": 3} {
			if after[table]-before[table] != more {
				t.Errorf("%s: %d more, want %d", table, after[table]-before[table], more)
			}
		}
		if again := d.take(t, "lots", raw); again.Same != 2 || again.New != 0 {
			t.Errorf("sent again: %+v", again)
		}
		if fmt.Sprint(d.stored(t)) != fmt.Sprint(after) {
			t.Error("sent again it left something")
		}
		d.Now = d.Now.AddDate(0, 0, 1)
		if tomorrow := d.try(t, "lots", raw); tomorrow.Same != 2 || tomorrow.New != 0 {
			t.Errorf("sent again tomorrow: %+v", tomorrow)
		}
	})
}

// The list that is taken in is the one that was looked at, line ends aside: a form
// of a page ends lines otherwise.
func TestAnotherListThanWasLookedAtIsRefused(t *testing.T) {
	each(t, func(t *testing.T, d desk) {
		raw := "code,material\nA,spokes\n"
		looked := d.try(t, "lots", raw)
		var refused *models.RefusedError
		if _, err := d.s.TakeIn(t.Context(), d.Owner, "lots", []byte("code,material\nB,spokes\n"), looked.Digest); !errors.As(err, &refused) {
			t.Errorf("another list: %v", err)
		}
		if _, err := d.s.TakeIn(t.Context(), d.Owner, "items", []byte(raw), looked.Digest); err == nil {
			t.Error("the same text as another kind of list was taken in")
		}
		if n := d.stored(t)["lots"]; n != 0 {
			t.Errorf("%d lots", n)
		}
		if _, err := d.s.TakeIn(t.Context(), d.Owner, "lots", []byte("\ufeffcode,material\r\nA,spokes\r\n"), looked.Digest); err != nil {
			t.Errorf("the same list: %v", err)
		}
		if _, err := d.s.TakeIn(t.Context(), d.Owner, "shipments", []byte(raw), ""); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("shipments, which are only written out: %v", err)
		}
	})
}
