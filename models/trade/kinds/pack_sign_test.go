package kinds

import (
	"slices"
	"testing"
)

// What reads the wrong way round is named, whatever the sums say: leads of the
// meter or a connector by a pack below zero, a block by its own sign. The sums
// of the third row agree, by hand: 12.95 - 12.90 + 12.91 = 12.96 V.
func TestWhatReadsTheWrongWayRoundIsNamed(t *testing.T) {
	for _, c := range []struct {
		name   string
		blocks []string
		whole  string
		want   []string
	}{
		{"as it should be", []string{"12.88", "12.86", "12.91"}, "38.650", nil},
		{"the leads at the pack", []string{"12.88", "12.86", "12.91"}, "-38.650", []string{"leads_reversed"}},
		{"a block, and the pack shows it", []string{"12.95", "-12.90", "12.91"}, "12.96", []string{"block_reads_negative"}},
		{"a block by the meter alone", []string{"12.95", "-12.90", "12.91"}, "38.76", []string{"block_reads_negative"}},
		{"all of them", []string{"-12.95", "-12.90", "-12.91"}, "-38.76", []string{"block_reads_negative", "block_reads_negative", "block_reads_negative", "leads_reversed"}},
	} {
		sets := packSets(t, packForm, "25", c.blocks, []string{"14.1", "14.6", "13.9"}, []string{c.whole})
		r, err := reduceAll(packKind, packForm, rested, sets...)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var got []string
		for _, m := range r.Remarks {
			if m.Code == "leads_reversed" || m.Code == "block_reads_negative" {
				got = append(got, m.Code)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
