package ident

import "testing"

func TestPartsUndoesAllocation(t *testing.T) {
	for _, counter := range []int{1, 5, 31, 33, 1024, 32767, 1<<25 - 1} {
		serial, ok := Allocate('W', 26, counter)
		if !ok {
			continue // a counter whose check character is confusable is never given out
		}
		kind, year, back, err := Parts(serial)
		if err != nil || kind != 'W' || year != 26 || back != counter {
			t.Errorf("Parts(%s) = %c %d %d %v, want W 26 %d", serial, kind, year, back, err, counter)
		}
	}
	if _, _, _, err := Parts("W2600005A"); err == nil {
		t.Error("Parts accepted a wrong check character")
	}
}
