package capture_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A motor turns in one wheel, and a wheel has one: what says otherwise stores
// nothing and names the row.
func TestOneMotorInOneWheel(t *testing.T) {
	motor := func(number string) models.SentPart { return models.SentPart{Role: "motor", Number: number} }
	for _, row := range []struct {
		name     string
		before   []models.SentPart // in the wheel
		parts    []models.SentPart
		problems []string
	}{
		{"one", nil, []models.SentPart{motor("M-1")}, nil},
		{"the same again", []models.SentPart{motor("M-1")}, []models.SentPart{motor("M-1")}, nil},
		{"by its GS1 label", nil, []models.SentPart{motor("]d2010952100000010021M-1")}, nil}, // GTIN-14 of prefix 952, which GS1 keeps for examples.
		{"its lot beside it", nil, []models.SentPart{motor("M-1"), {Role: "motor", Lot: "MT-1"}}, nil},
		{"one that turns in another wheel", nil, []models.SentPart{{Role: "rim", Lot: "RL-1"}, motor("M-9")}, []string{"parts[1].number: part_in_already"}},
		{"a second one", []models.SentPart{motor("M-1")}, []models.SentPart{motor("M-2")}, []string{"parts[0].number: place_taken"}},
		{"two at once", nil, []models.SentPart{motor("M-1"), motor("M-2")}, []string{"parts[1].number: place_taken"}},
		{"one twice", nil, []models.SentPart{motor("M-1"), motor("M-1")}, []string{"parts[1].number: part_named_twice"}},
		{"a block", nil, []models.SentPart{motor("B-1")}, []string{"parts[0].number: no_motor"}},
		{"one that was scrapped", nil, []models.SentPart{motor("M-0")}, []string{"parts[0].number: part_gone"}},
		{"a wheel that is older than the log", nil, []models.SentPart{{Role: "rim", Number: "OLD-1"}}, []string{"parts[0].number: no_part"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				stamp := models.NewStamp(h.Owner, h.Now)
				add := func(kind, number string) models.Item {
					item, err := h.Store.AddItem(t.Context(), stamp, models.Item{ID: models.NewID(), Kind: kind, Supplier: "Halden", Model: "M", MakerNumber: &number, Origin: "received"}, nil)
					h.Must(err)
					return item
				}
				add(models.KindMotor, "M-1")
				add(models.KindMotor, "M-2")
				add(models.KindBlock, "B-1")
				add(models.KindWheel, "OLD-1")
				for code, material := range map[string]string{"MT-1": "motors", "RL-1": "rim"} {
					h.Must(h.Store.AddLot(t.Context(), stamp, models.Lot{ID: models.NewID(), Code: code, Material: material}))
				}
				in, gone, other := add(models.KindMotor, "M-9"), add(models.KindMotor, "M-0"), h.AnotherWheel()
				fit := func(part models.Item) models.FittedPart {
					return models.FittedPart{ID: models.NewID(), Role: "motor", PartID: &part.ID, Quantity: 1}
				}
				was := fit(gone)
				h.Must(h.Store.ChangeParts(t.Context(), stamp, other.ID, nil, []models.FittedPart{was}))
				h.Must(h.Store.ChangeParts(t.Context(), stamp, other.ID, []models.PartRemoval{{ID: models.NewID(), FittedID: was.ID, Quantity: 1, Code: "worn", Fate: models.FateScrap}}, []models.FittedPart{fit(in)}))
				wheel, n := h.Item[models.KindWheel], 0
				if row.before != nil {
					first := h.Extremes()
					first.Parts = row.before
					h.MustRecord(first)
					n = 1
				}
				sub := h.Extremes()
				sub.Parts = row.parts
				_, err := h.Record(sub)
				if len(row.problems) == 0 {
					h.Must(err)
					n++
				} else {
					worktest.WantProblems(t, err, row.problems...)
				}
				if got := h.Count(wheel.ID); got != n {
					t.Errorf("%d inspections are kept, want %d", got, n)
				}
			})
		})
	}
}

// Whoever named the wrong motor puts it right by a correction: the other one is in
// the wheel then, and the first is free.
func TestAnotherMotorByACorrection(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp := models.NewStamp(h.Owner, h.Now)
		for _, number := range []string{"M-1", "M-2"} {
			_, err := h.Store.AddItem(t.Context(), stamp, models.Item{Kind: models.KindMotor, Supplier: "Halden", Model: "M", MakerNumber: &number, Origin: "received"}, nil)
			h.Must(err)
		}
		first := h.Extremes()
		first.Parts = []models.SentPart{{Role: "motor", Number: "M-1"}}
		h.MustRecord(first)
		again := h.Extremes()
		again.Corrects, again.Reason, again.Parts = first.ID, "read the other label", []models.SentPart{{Role: "motor", Number: "M-2"}}
		h.MustRecord(again)
		parts, err := h.Store.Parts(t.Context(), h.Item[models.KindWheel].ID)
		h.Must(err)
		if in := models.Present(parts); len(in) != 1 || in[0].Number != "M-2" {
			t.Errorf("in the wheel is %+v, want M-2", in)
		}
	})
}

// Of two wheels that name the same motor at the same moment one is kept: what the
// other was judged on is so no more.
func TestTwoWheelsNameOneMotorAtOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		number := "M-1"
		_, err := h.Store.AddItem(t.Context(), models.NewStamp(h.Owner, h.Now), models.Item{Kind: models.KindMotor, Supplier: "Halden", Model: "M", MakerNumber: &number, Origin: "received"}, nil)
		h.Must(err)
		errs := make(chan error)
		for _, wheel := range []models.Item{h.Item[models.KindWheel], h.AnotherWheel()} {
			sub := h.Extremes()
			sub.Serial, sub.Parts = *wheel.Serial, []models.SentPart{{Role: "motor", Number: "M-1"}}
			go func() {
				_, err := h.Record(sub)
				errs <- err
			}()
		}
		kept := 0
		for range 2 {
			var invalid *models.InvalidError
			switch err := <-errs; {
			case err == nil:
				kept++
			case !errors.Is(err, models.ErrStale) && !errors.As(err, &invalid):
				t.Errorf("the second wheel: %v", err)
			}
		}
		if kept != 1 {
			t.Errorf("%d wheels are kept with it, want 1", kept)
		}
	})
}
