package models

import "testing"

// Of 100 that came, 3 were thrown away, 5 sent back and 12 put into a bin: 80 are
// left to be built in, of which 60 are.
func TestBeyondALot(t *testing.T) {
	totals := LotTotals{BuiltIn: 60, Scrapped: 3, Returned: 5, Mixed: 12}
	for _, c := range []struct{ came, putIn, more, over, has int }{
		{100, 0, 20, 0, 80}, {100, 0, 21, 1, 80}, {90, 10, 25, 5, 80}, {0, 100, 21, 1, 80}, {0, 0, 1000, 0, 0},
	} {
		totals.PutIn = c.putIn
		if over, has := totals.Beyond(Lot{Quantity: c.came}, c.more); over != c.over || has != c.has {
			t.Errorf("%+v: %d beyond %d", c, over, has)
		}
	}
}
