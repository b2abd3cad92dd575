package sheet_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"tracewright/models/sheet"
)

// OWASP, CSV Injection: a cell must not begin with = + - @, tab or carriage return,
// and no separator or quotation mark may let one begin inside it. A number that is
// negative stays one; a telephone number keeps its plus.
func TestNoCellIsAFormula(t *testing.T) {
	for cell, want := range map[string]string{
		"":                       "",
		"SP-0214":                "SP-0214",
		"=HYPERLINK(1)":          "'=HYPERLINK(1)",
		"+47 2200":               "'+47 2200",
		"+491701234567":          "'+491701234567",
		"-0.12":                  "-0.12",
		"-0,12":                  "-0,12",
		"-12":                    "-12",
		"-1+1":                   "'-1+1",
		"-":                      "'-",
		"-2 mm":                  "'-2 mm",
		"@SUM(A1)":               "'@SUM(A1)",
		"\t=1":                   "'\t=1",
		"\r=1":                   "'\r=1",
		"＝1":                     "'＝1",
		" =1":                    " '=1",
		"\"=1":                   "\"'=1",
		"'=1":                    "''=1",
		"a;=1":                   "a;'=1",
		"a, -b":                  "a, '-b",
		"Quay 4\n-back door":     "Quay 4\n'-back door",
		"2.34 mm plain, 186 mm":  "2.34 mm plain, 186 mm",
		"a-b=c":                  "a-b=c",
		"Mill Lane 4\r\nKiel 12": "Mill Lane 4\r\nKiel 12",
	} {
		if got := sheet.Inert(cell); got != want {
			t.Errorf("%q goes out as %q, want %q", cell, got, want)
		}
	}
}

func written(t *testing.T, form sheet.Form, rows ...[]string) string {
	t.Helper()
	var b bytes.Buffer
	w := sheet.NewWriter(&b, form)
	for _, r := range rows {
		if err := w.Row(r...); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestForms(t *testing.T) {
	if got, want := written(t, sheet.Commas, []string{"a", "b;c"}, []string{"1,5", "x\ny"}), "\ufeffa,b;c\n\"1,5\",\"x\ny\"\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := written(t, sheet.Semicolons, []string{"a", "b;c"}), "\ufeffa;\"b;c\"\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	comma, point := sheet.NewWriter(&bytes.Buffer{}, sheet.Semicolons), sheet.NewWriter(&bytes.Buffer{}, sheet.Commas)
	if a, b := comma.Number("-0.12"), point.Number("-0.12"); a != "-0,12" || b != "-0.12" {
		t.Errorf("-0.12 is written %q and %q", a, b)
	}
}

// What was written is read again as it was, in both forms; and another reader of
// CSV, which knows nothing of apostrophes, finds no cell that begins as a formula.
func FuzzWrittenIsReadAgain(f *testing.F) {
	for _, seed := range []string{"=1", "'=1", "''-", "a;-b", "x,\n'+y", "\"", "'", ";'=", "a\t@", "-1,5", " x", "'\"=", "\n"} {
		f.Add(seed, "second")
	}
	f.Fuzz(func(t *testing.T, first, second string) {
		for _, cell := range []string{first, second} {
			if strings.ContainsAny(cell, "\x00\r") || strings.TrimSpace(cell) != cell || strings.ToValidUTF8(cell, "") != cell || cell == "" || strings.Contains(cell, "\ufeff") {
				return
			}
		}
		for _, form := range []sheet.Form{sheet.Commas, sheet.Semicolons} {
			text := written(t, form, []string{"one", "two"}, []string{first, second})
			got, err := sheet.Read([]byte(text), 3)
			if err != nil || len(got.Rows) != 2 || !slices.Equal(got.Rows[1].Cells, []string{first, second}) {
				t.Fatalf("%q, %q written as %q, read as %+v, %v", first, second, text, got.Rows, err)
			}
			r := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
			r.Comma = form.Comma
			rows, err := r.ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			for _, cell := range rows[1] {
				if strings.ContainsRune("=+@\t\r", rune(cell[0])) {
					t.Fatalf("%q goes out as the formula %q", first, cell)
				}
			}
		}
	})
}
