package ident

import "testing"

func TestLotNumber(t *testing.T) {
	for code, want := range map[string]int{"L26-0001": 1, "l26-0042": 42, "L26-9999": 9999, "L26-10000": 10000,
		"L25-0001": 0, "L26-1": 0, "L26-00001": 0, "L26-0000": 0, "L26-20260305": 0, "L26-": 0, "L26": 0, "SP-0214": 0, "": 0} {
		if n, ok := LotNumber(26, code); n != want || ok != (want > 0) {
			t.Errorf("%q: %d, %v; want %d", code, n, ok, want)
		}
	}
	if got := LotCode(7, 12345) + " " + LotCode(26, 1); got != "L07-12345 L26-0001" {
		t.Error(got)
	}
}
