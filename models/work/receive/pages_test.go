package receive_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// Lots are listed a page at a time, the last received first, each once, also where
// many came at the same moment; of one material where it is named.
func TestLotsAreListedByPages(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		const all = 2*receive.PageOfLots + 5
		stamp := models.NewStamp(h.Operator, h.Now)
		var want []string
		for i := range all {
			l := models.Lot{ID: models.NewID(), Code: fmt.Sprintf("SP-%03d", i), Material: "spokes", Quantity: 10, ReceivedAt: h.Now.Add(-time.Duration(i/150) * time.Hour)} // 150 of one moment
			h.Must(h.Store.AddLot(t.Context(), stamp, l))
			want = append(want, l.Code)
		}
		h.Must(h.Store.AddLot(t.Context(), stamp, models.Lot{ID: models.NewID(), Code: "RM-1", Material: "rims", ReceivedAt: h.Now.Add(-30 * time.Minute)}))
		any := func(receive.Line) bool { return true }
		read := func(material string, asked func(receive.Line) bool) (codes []string, pages []int) {
			for before, more := (models.LotKey{}), true; more; {
				lines, next, err := s.PageBefore(t.Context(), material, before, asked)
				h.Must(err)
				for _, l := range lines {
					codes = append(codes, l.Code)
				}
				pages = append(pages, len(lines))
				before, more = next, !next.ReceivedAt.IsZero()
			}
			return codes, pages
		}
		codes, pages := read("spokes", any)
		if !slices.Equal(codes, want) || !slices.Equal(pages, []int{100, 100, 5}) {
			t.Errorf("%d spokes in pages of %v, want %d in their order", len(codes), pages, all)
		}
		codes, pages = read("", any)
		if !slices.Equal(codes, slices.Insert(slices.Clone(want), 150, "RM-1")) || !slices.Equal(pages, []int{100, 100, 6}) {
			t.Errorf("%d lots in pages of %v, the rim at %d; want %d, it at 150", len(codes), pages, slices.Index(codes, "RM-1"), all+1)
		}
		// Those that are asked for are looked for behind the first page too.
		codes, pages = read("spokes", func(l receive.Line) bool { return l.Code == "SP-000" || l.Code >= "SP-203" })
		if !slices.Equal(codes, []string{"SP-000", "SP-203", "SP-204"}) || !slices.Equal(pages, []int{3}) {
			t.Errorf("%v in pages of %v", codes, pages)
		}
		codes, pages = read("spokes", func(l receive.Line) bool { return l.Code < "SP-100" })
		if !slices.Equal(codes, want[:100]) || !slices.Equal(pages, []int{100}) {
			t.Errorf("%d lots in pages of %v, want 100 in one", len(codes), pages)
		}
	})
}
