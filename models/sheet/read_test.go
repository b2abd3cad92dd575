package sheet_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tracewright/models/sheet"
)

// shown writes rows as "number: cell | cell", so that a table can be read.
func shown(rows []sheet.Row) []string {
	out := make([]string, len(rows))
	for i, r := range rows {
		out[i] = fmt.Sprintf("%d: %s", r.Number, strings.Join(r.Cells, " | "))
		if r.Fault != "" {
			out[i] += "! " + string(r.Fault)
		}
	}
	return out
}

// What comes out of a spreadsheet, by the language it is set to, the encoding it
// saves in and what people leave in it. Row numbers are those that it shows.
func TestListsAreReadAsSpreadsheetsSaveThem(t *testing.T) {
	for name, test := range map[string]struct {
		raw  string
		want []string
	}{
		"commas":                               {"code,quantity\nSP-1,500\n", []string{"1: code | quantity", "2: SP-1 | 500"}},
		"semicolons and decimal commas":        {"code;value\nA;0,12\n", []string{"1: code | value", "2: A | 0,12"}},
		"tabs, as from the clipboard":          {"code\tvalue\nA, b; c\t0,12", []string{"1: code | value", "2: A, b; c | 0,12"}},
		"a byte order mark":                    {"\ufeffcode,n\nA,1", []string{"1: code | n", "2: A | 1"}},
		"lines that end in CR LF":              {"code,n\r\nA,1\r\n", []string{"1: code | n", "2: A | 1"}},
		"lines that end in CR":                 {"code,n\rA,1\r", []string{"1: code | n", "2: A | 1"}},
		"no line end at the end":               {"code,n\nA,1", []string{"1: code | n", "2: A | 1"}},
		"a mark in quotation marks":            {"name,note\n\"Smith, John\",\"he said \"\"no\"\"\"", []string{"1: name | note", `2: Smith, John | he said "no"`}},
		"a semicolon in a quoted heading":      {"\"a;b\",c\n1,2", []string{"1: a;b | c", "2: 1 | 2"}},
		"a line break in a cell":               {"name,address\nA,\"Quay 4\nKiel\"\nB,\"x\r\ny\"\nC,z", []string{"1: name | address", "2: A | Quay 4\nKiel", "3: B | x\ny", "4: C | z"}},
		"empty rows count":                     {"code,n\n\nA,1\n;\n , \nB,2\n", []string{"1: code | n", "3: A | 1", "4: ;", "6: B | 2"}},
		"empty rows before the heading":        {"\n\r\ncode;n\nA;1", []string{"3: code | n", "4: A | 1"}},
		"empty cells at the end":               {"code,n,,\nA,1,,\nB,,,\n,,,\n", []string{"1: code | n", "2: A | 1", "3: B"}},
		"blanks around cells":                  {"code ;  n\n A ;\u00a01 ", []string{"1: code | n", "2: A | 1"}},
		"blanks before quotation marks":        {"code, n\nA, \"1, 2\"", []string{"1: code | n", "2: A | 1, 2"}},
		"a line that says what stands between": {"sep=;\r\ncode;note\r\nA;x, y\r\n", []string{"1: code | note", "2: A | x, y"}},
		"that says a comma":                    {"\ufeffSEP=,\ncode,note\nA,x; y", []string{"1: code | note", "2: A | x; y"}},
		"that says nothing":                    {"sep=\nA", []string{"1: sep=", "2: A"}},
		"one column":                           {"code\nA\nB", []string{"1: code", "2: A", "3: B"}},
		"a cell made inert":                    {"a,b\n'=1+1,'-x", []string{"1: a | b", "2: =1+1 | -x"}},
		"an apostrophe of its own":             {"name\n't Hooft\n'Hart'", []string{"1: name", "2: 't Hooft", "3: 'Hart'"}},
		"a quotation mark inside":              {"a,b\n26\" rim,1\nx,2", []string{"1: a | b", "2: ! sheet_quote", "3: x | 2"}},
		"text behind a closing one":            {"a,b\n\"x\"y,1\nz,2", []string{"1: a | b", "2: ! sheet_quote", "3: z | 2"}},
		"one that is never closed":             {"a,b\n1,2\n\"x,3\ny,4\n", []string{"1: a | b", "2: 1 | 2", "3: ! sheet_quote_open"}},
		"nothing":                              {"", nil},
		"only empty rows":                      {"\n;;\n\n", []string{}},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := sheet.Read([]byte(test.raw), 100)
			if err != nil || !slices.Equal(shown(got.Rows), test.want) {
				t.Errorf("%q is read as %q, %v; want %q", test.raw, shown(got.Rows), err, test.want)
			}
		})
	}
}

// "Müller" in Windows-1252 is 4D FC 6C..., the euro sign 80; 81 stands for nothing
// there (the table of the code page).
func TestEncodings(t *testing.T) {
	for name, test := range map[string]struct {
		raw     string
		want    string
		windows bool
		err     error
	}{
		"UTF-8":                        {"name\nMüller", "Müller", false, nil},
		"Windows-1252":                 {"name\nM\xfcller \x80", "Müller €", true, nil},
		"neither":                      {"name\nM\xfcller \x81", "", true, sheet.ErrNoText},
		"the file of a spreadsheet":    {"PK\x03\x04\x14\x00\x00", "", false, sheet.ErrNoText},
		"UTF-16, which is full of nil": {"n\x00a\x00", "", false, sheet.ErrNoText},
	} {
		got, err := sheet.Read([]byte(test.raw), 100)
		if !errors.Is(err, test.err) || got.Windows1252 != test.windows && test.err == nil {
			t.Errorf("%s: %v, Windows-1252 %v", name, err, got.Windows1252)
		}
		if test.err == nil && got.Rows[1].Cells[0] != test.want {
			t.Errorf("%s: %q, want %q", name, got.Rows[1].Cells[0], test.want)
		}
	}
}

// A list in UTF-8 with one broken byte is damaged, and no list in Windows-1252: as one
// every umlaut of it would be two signs. C3 BC is ü, E2 82 AC the euro sign, D0 94 the
// Cyrillic Д and D0 BE its о (the Unicode Standard, table 3-6). A letter before a mark of
// Windows-1252 is a sign of UTF-8 too: DF 93 an ß before a closing quotation mark, C4 93
// and C4 94 an Ä before one, E9 A0 BB an é before a blank and a guillemet.
func TestATornListIsNoOtherEncoding(t *testing.T) {
	for name, test := range map[string]struct {
		raw     string
		row     int // that is broken; 0: none
		windows bool
	}{
		"a byte in the middle":             {"name,note\nMüller,ok\nB\xffcker,\nSchäfer,\n", 3, false},
		"broken off inside a letter":       {"name\nMüller\nSch\xc3", 3, false},
		"broken off inside a sign":         {"name\n5 €\n6 \xe2\x82", 3, false},
		"marked, without another sign":     {"\ufeffcode,note\nA-1,ok\n\nA-2,\xfc\n", 4, false},
		"in the heading":                   {"\ufeffcode,gr\xfc\xdfe\nA-1,ok\n", 1, false},
		"in a cell of two lines":           {"name,note\nMüller,\"a\nb\"\nB,\"c\n\xff\"\n", 3, false},
		"of another script":                {"name\nДом\nДе\xff\n", 3, false},
		"Windows-1252":                     {"name\nM\xfcller\nSch\xe4fer\n", 0, true},
		"Windows-1252 in quotes":           {"name\n\x84Gru\xdf\x93\n\x84Fu\xdf\x93\n", 0, true},
		"French in guillemets":             {"note\n\xab\xa0R\xe9gl\xe9\xa0\xbb\n", 0, true},
		"Finnish in quotes":                {"note\n\x94TY\xd6T\xc4\x94\n", 0, true},
		"one German letter in quotes":      {"note\n\x84\xc4\x93\n", 0, true},
		"German capitals, dashes":          {"note\nGR\xd6\xdf\xc4\x97\xdcBER\n", 0, true},
		"one pair among umlauts":           {"note\nM\xfcller\nSch\xe4fer\n\xc3\xbc\n", 0, true},
		"one letter, one broken byte":      {"name\nMüller\nB\xffcker\n", 3, false},
		"broken off inside a sign at last": {"name\nà\nb \xe2\x82", 3, false},
		"Portuguese in quotes":             {"name\n\x93IRM\xc3\x94\n", 0, true},
		"torn in quotes":                   {"note\n„Ä“\n„Müller\xc3\n", 3, false},
		"torn among dashes alone":          {"note\n5 – 6 €\n7 – 8 €\n9 \xe2\x80", 4, false},
	} {
		got, err := sheet.Read([]byte(test.raw), 100)
		if err != nil || got.Windows1252 != test.windows {
			t.Errorf("%s: %v, Windows-1252 %v", name, err, got.Windows1252)
		}
		for _, r := range got.Rows {
			if torn := r.Fault == sheet.FaultTorn; torn != (r.Number == test.row) || torn && r.Cells != nil {
				t.Errorf("%s: row %d is %+v", name, r.Number, r)
			}
		}
	}
}

func TestRowsAreBounded(t *testing.T) {
	if s, err := sheet.Read([]byte("a\n1\n2\n3\n\n\n"), 4); err != nil || len(s.Rows) != 4 {
		t.Errorf("four of four rows: %d, %v", len(s.Rows), err)
	}
	if _, err := sheet.Read([]byte("a\n1\n2\n3\n4"), 4); !errors.Is(err, sheet.ErrTooManyRows) {
		t.Errorf("five of four rows: %v", err)
	}
}

// Whatever bytes come: no panic, an end, and rows in their order with cells that
// hold no line of another row.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{"a,b\n1,2\n", "\ufeffa;b\r\n\"x\r\ny\";'=1\r\n", "a\tb\n\"\"\"\t\n\n", "\"", "\xff\xfe", "a,\"b\n\n,c\"d\n", "'\t=\n;'-"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		s, err := sheet.Read(raw, 50)
		if err != nil {
			return
		}
		before := 0
		for _, r := range s.Rows {
			if r.Number <= before || r.Fault == "" && len(r.Cells) == 0 {
				t.Fatalf("%q: row %d with %d cells after row %d", raw, r.Number, len(r.Cells), before)
			}
			before = r.Number
		}
		if before > strings.Count(s.Text, "\n")+1 {
			t.Fatalf("%q: row %d of fewer lines", raw, before)
		}
	})
}
