package genealogy

// Count is a number of one lot.
type Count struct {
	Lot      string
	Quantity int
}

// Balance says whether a lot adds up, in pieces:
//
//	expected = received - consumed - scrapped - returned
//	difference = counted - expected
//
// A difference is a question to the shop and never a correction.
type Balance struct {
	Lot                                    string
	Received, Consumed, Scrapped, Returned int
	Expected, Counted, Difference          int
}

// Balances adds up each lot that was counted, in the order of the counts.
func Balances(received []Count, uses []Use, scrapped, returned, counted []Count) []Balance {
	sum := func(list []Count) map[string]int {
		out := map[string]int{}
		for _, c := range list {
			out[c.Lot] += c.Quantity
		}
		return out
	}
	in, bad, back, consumed := sum(received), sum(scrapped), sum(returned), map[string]int{}
	for _, u := range uses {
		consumed[u.Input] += u.Quantity
	}
	rows := make([]Balance, len(counted))
	for i, c := range counted {
		b := Balance{Lot: c.Lot, Received: in[c.Lot], Consumed: consumed[c.Lot], Scrapped: bad[c.Lot], Returned: back[c.Lot], Counted: c.Quantity}
		b.Expected = b.Received - b.Consumed - b.Scrapped - b.Returned
		b.Difference = b.Counted - b.Expected
		rows[i] = b
	}
	return rows
}
