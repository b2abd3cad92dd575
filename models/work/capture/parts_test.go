package capture_test

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A set of blocks that cannot stand in a pack stores nothing and names each
// field; the pack has three places.
func TestBlocksThatCannotStandInAPack(t *testing.T) {
	at := func(place, number string) models.SentPart {
		return models.SentPart{Role: "block", Place: place, Number: number}
	}
	for _, row := range []struct {
		name     string
		before   []models.SentPart
		parts    []models.SentPart
		problems []string
	}{
		{"each at its place", nil, []models.SentPart{at("1.1", "A"), at("1.2", "B"), at("1.3", "C")}, nil},
		{"a lot for the others", nil, []models.SentPart{at("1.1", "A"), {Role: "block", Lot: "BL-1", Quantity: 1}, at("1.2", "B")}, nil},
		{"the same again", []models.SentPart{at("1.1", "A")}, []models.SentPart{at("1.1", "A"), at("1.2", "B")}, nil},
		{"a place for one that had none", []models.SentPart{at("", "A")}, []models.SentPart{at("1.2", "A")}, nil},
		{"two at one place", nil, []models.SentPart{at("1.1", "A"), at("1.1", "B")}, []string{"parts[1].place: place_twice"}},
		{"where another is", []models.SentPart{at("1.1", "A")}, []models.SentPart{at("1.1", "B")}, []string{"parts[0].place: place_twice"}},
		{"places that it does not have", nil, []models.SentPart{at("1.4", "A"), at("2.1", "B"), at("0.1", "C"), at("left", "D")},
			[]string{"parts[0].place: no_place_of_pack", "parts[1].place: no_place_of_pack", "parts[2].place: no_place_of_pack", "parts[3].place: no_place_of_pack"}},
		{"a lot at a place that it does not have", nil, []models.SentPart{{Role: "block", Place: "3.1", Lot: "BL-1"}}, []string{"parts[0].place: no_place_of_pack"}},
		{"one at two places", nil, []models.SentPart{at("1.1", "A"), at("1.2", "A")}, []string{"parts[1].number: block_twice", "parts[1].place: block_at_other_place"}},
		{"one that has another place", []models.SentPart{at("1.1", "A")}, []models.SentPart{at("1.3", "A")}, []string{"parts[0].place: block_at_other_place"}},
		{"of another model", nil, []models.SentPart{at("1.1", "other")}, []string{"parts[0].number: part_of_other_model"}},
		{"a motor", nil, []models.SentPart{at("1.1", "M-1")}, []string{"parts[0].number: number_of_no_block"}},
		{"four in three places", nil, []models.SentPart{at("", "A"), at("", "B"), at("", "C"), at("", "D")}, []string{"parts: pack_size"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				stamp, p := models.NewStamp(h.Owner, h.Now), h.Item[models.KindPack]
				for _, number := range []string{"A", "B", "C", "D"} {
					block(t, h, number)
				}
				other := "other"
				_, err := h.Store.AddItem(t.Context(), stamp, models.Item{Kind: models.KindBlock, Supplier: "Halden", Model: "6-4", MakerNumber: &other, ProductID: h.Item[models.KindWheel].ProductID, Origin: "received"}, nil)
				h.Must(err)
				motor := "M-1"
				_, err = h.Store.AddItem(t.Context(), stamp, models.Item{Kind: models.KindMotor, Supplier: "Halden", Model: "M", MakerNumber: &motor, Origin: "received"}, nil)
				h.Must(err)
				h.Must(h.Store.AddLot(t.Context(), stamp, models.Lot{ID: models.NewID(), Code: "BL-1", Material: "blocks"}))
				form := models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 3, MinRestHours: "24", BlockModel: "Halden 12-12", BlockProduct: models.NewID(), BlockRevision: 1}
				h.Must(h.Store.AddProductRevision(t.Context(), stamp, models.ProductRevision{ProductID: *p.ProductID, Revision: 2, Form: models.ProductForm{Pack: &form}, Reason: "of a model"}))
				n := 0
				if row.before != nil {
					first := h.Pack()
					first.Parts = row.before
					h.MustRecord(first)
					n = 1
				}
				sub := h.Pack()
				sub.Parts = row.parts
				out, err := h.Record(sub)
				if len(row.problems) == 0 {
					h.Must(err)
					n++
					if said := slices.ContainsFunc(out.Inspection.Remarks, func(r models.Remark) bool { return r.Code == "blocks_unknown" }); said != (len(row.parts) < 3) {
						t.Errorf("said that blocks are not known: %v", said)
					}
				} else {
					worktest.WantProblems(t, err, row.problems...)
				}
				if got := h.Count(p.ID); got != n {
					t.Errorf("%d inspections are kept, want %d", got, n)
				}
			})
		})
	}
}
