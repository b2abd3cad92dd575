package sheet_test

import (
	"strconv"
	"testing"
	"time"

	"tracewright/models/sheet"
)

// A cell is a day that there is, a whole number, or neither; what is written for a
// spreadsheet never begins as a formula does.
func FuzzCells(f *testing.F) {
	for _, s := range []string{"2026-03-05", "05.03.2026", "31.02.2026", "03/05/2026", "1.000", "12", "-1", "=1+1", "@a", "\t=a", "'=a", "99999999999999999999", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if day, err := sheet.Day(text); err == nil && day != "" {
			if _, err := time.Parse(time.DateOnly, day); err != nil {
				t.Errorf("%q is read as the day %q", text, day)
			}
			if again, err := sheet.Day(day); err != nil || again != day {
				t.Errorf("%q is read as %q, and that as %q, %v", text, day, again, err)
			}
		}
		if n, err := sheet.Whole(text); err == nil {
			if again, err := sheet.Whole(strconv.Itoa(n)); err != nil || again != n {
				t.Errorf("%q is read as %d, and that as %d, %v", text, n, again, err)
			}
		}
		if inert := sheet.Inert(text); inert != "" {
			switch inert[0] {
			case '=', '+', '@', '\t', '\r':
				t.Errorf("%q is written as %q", text, inert)
			}
		}
		_ = sheet.Fold(text)
		_, _ = sheet.Nearest(text, []string{"code", "material", "quantity"})
	})
}
