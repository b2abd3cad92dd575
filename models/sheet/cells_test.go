package sheet_test

import (
	"errors"
	"testing"

	"tracewright/models/sheet"
)

func TestDays(t *testing.T) {
	for text, test := range map[string]struct {
		want string
		err  error
	}{
		"2026-03-05":       {"2026-03-05", nil},
		"2026-3-5":         {"2026-03-05", nil},
		"05.03.2026":       {"2026-03-05", nil},
		"5.3.2026":         {"2026-03-05", nil},
		"29.02.2028":       {"2028-02-29", nil},
		"03/05/2026":       {"", sheet.ErrTwoMeanings},
		"05/05/2026":       {"2026-05-05", nil}, // The same day either way.
		"25/12/2026":       {"2026-12-25", nil}, // There is no 25th month.
		"12/25/2026":       {"2026-12-25", nil},
		"29.02.2026":       {"", sheet.ErrNotADay},
		"31/31/2026":       {"", sheet.ErrNotADay},
		"2026-13-01":       {"", sheet.ErrNotADay},
		"05.03.26":         {"", sheet.ErrNotADay}, // Of which century?
		"5 March 2026":     {"", sheet.ErrNotADay},
		"46086":            {"", sheet.ErrNotADay}, // A spreadsheet's own count of days.
		"2026-03-05 10:00": {"", sheet.ErrNotADay},
		"":                 {"", sheet.ErrNotADay},
	} {
		if got, err := sheet.Day(text); got != test.want || !errors.Is(err, test.err) {
			t.Errorf("%q is %q, %v; want %q, %v", text, got, err, test.want, test.err)
		}
	}
}

func TestWholeNumbers(t *testing.T) {
	for text, test := range map[string]struct {
		want int
		err  error
	}{
		"0": {0, nil}, "500": {500, nil}, "500.0": {500, nil}, "500,00": {500, nil}, "-3": {-3, nil}, "0,000": {0, nil}, "2000.0000": {2000, nil},
		"1.000": {0, sheet.ErrTwoMeanings}, "1,000": {0, sheet.ErrTwoMeanings}, "999.500": {0, sheet.ErrTwoMeanings},
		"18,5": {0, sheet.ErrNotWhole}, "1.000.000": {0, sheet.ErrNotWhole}, "1 000": {0, sheet.ErrNotWhole}, "1'000": {0, sheet.ErrNotWhole},
		"1e3": {0, sheet.ErrNotWhole}, "ten": {0, sheet.ErrNotWhole}, "": {0, sheet.ErrNotWhole}, "9999999999999999999": {0, sheet.ErrNotWhole},
	} {
		if got, err := sheet.Whole(text); got != test.want || !errors.Is(err, test.err) {
			t.Errorf("%q is %d, %v; want %d, %v", text, got, err, test.want, test.err)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"code", "material", "supplier", "supplier lot", "quantity", "received on"}
	for word, want := range map[string]string{"Quantitty": "quantity", "qantity": "quantity", "matrial": "material", "Supplier-Lot": "supplier lot", "coda": "code", "recieved on": "received on", "price": "", "colour": "", "x": "", "": ""} {
		if got, ok := sheet.Nearest(word, known); ok != (want != "") || ok && got != want {
			t.Errorf("%q is near %q, %v; want %q", word, got, ok, want)
		}
	}
}
