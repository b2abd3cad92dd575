package store_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// What a list brings is stored whole or not at all: where one record of it is
// taken, none of the others is there, and the log has no entry.
func TestAListIsStoredWholeOrNotAtAll(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, moment)
		lot := func(code string) models.Lot {
			return models.Lot{ID: models.NewID(), Code: code, Material: "spokes", Supplier: "New one " + code}
		}
		motor := func(number string) models.Item {
			return models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: &number, Origin: "received"}
		}
		h.Must(s.AddLots(ctx, stamp, 31, []models.Lot{lot("SP-1"), lot("L31-0009"), lot("")}))
		if found := must(s.LotsByCode(ctx, []string{"L31-0010"})); len(found) != 1 {
			t.Errorf("the next code behind L31-0009 went to %+v", found)
		}
		h.Must(s.AddLots(ctx, stamp, 31, []models.Lot{lot("l31-0011"), lot("L31-20310502"), lot("")})) // The last but one is a code of the shop's own.
		if found := must(s.LotsByCode(ctx, []string{"L31-0012"})); len(found) != 1 {
			t.Errorf("the next code behind l31-0011 went to %+v", found)
		}
		first, second, third, fourth, worn := motor("N1"), motor("N2"), motor("N3"), motor("N5"), motor("N6")
		h.Must(s.AddListedItems(ctx, stamp, 31, []models.Item{first, second, third, fourth, worn}))
		wheel, other := h.Item[models.KindWheel], h.AnotherWheel()
		fit := func(item, part models.Item) models.FittedPart {
			return models.FittedPart{ID: models.NewID(), ItemID: item.ID, Role: "motor", PartID: &part.ID, Quantity: 1}
		}
		h.Must(s.AddFitted(ctx, stamp, []models.FittedPart{fit(wheel, first)}))
		h.Must(s.ChangeParts(ctx, stamp, other.ID, nil, []models.FittedPart{fit(other, third)}))
		was := fit(other, worn)
		h.Must(s.ChangeParts(ctx, stamp, other.ID, nil, []models.FittedPart{was}))
		h.Must(s.ChangeParts(ctx, stamp, other.ID, []models.PartRemoval{{ID: models.NewID(), FittedID: was.ID, Quantity: 1, Code: "worn", Fate: models.FateScrap}}, nil))
		count := func() string {
			parts := must(s.PartsOf(ctx, []string{wheel.ID, other.ID}))
			return fmt.Sprint(len(must(s.LotsAfter(ctx, "", 99))), len(must(s.ItemsAfter(ctx, "", 99))), len(parts[wheel.ID]), len(parts[other.ID]), len(must(s.Suppliers(ctx))))
		}
		before := count()
		for name, try := range map[string]struct {
			do   func() error
			want error
		}{
			"a code that is taken":   {func() error { return s.AddLots(ctx, stamp, 31, []models.Lot{lot("SP-2"), lot("SP-1")}) }, models.ErrConflict},
			"a number that is taken": {func() error { return s.AddListedItems(ctx, stamp, 31, []models.Item{motor("N4"), motor("N1")}) }, models.ErrConflict},
			"a part that is in an item": {func() error {
				return s.AddFitted(ctx, stamp, []models.FittedPart{fit(other, second), fit(other, first)})
			}, models.ErrStale},
			"a part that was scrapped": {func() error {
				return s.AddFitted(ctx, stamp, []models.FittedPart{fit(wheel, second), fit(wheel, worn)})
			}, models.ErrStale},
			"a part that holds a part": {func() error {
				return s.AddFitted(ctx, stamp, []models.FittedPart{fit(other, second), fit(wheel, other)})
			}, models.ErrLoop},
			"an item that nobody knows": {func() error {
				return s.AddFitted(ctx, stamp, []models.FittedPart{fit(other, second), fit(motor("N9"), fourth)})
			}, models.ErrNotFound},
			"a customer with a used key": {func() error {
				c := models.Customer{ID: models.NewRandomID(), Name: "A"}
				return s.AddCustomers(ctx, stamp, []models.Customer{c, c})
			}, models.ErrConflict},
		} {
			if err := try.do(); !errors.Is(err, try.want) {
				t.Errorf("%s: %v, want %v", name, err, try.want)
			}
			if after := count(); after != before {
				t.Errorf("%s left something: %s, before %s", name, after, before)
			}
		}
	})
}

// Page by page everything is given once, however small the page.
func TestListsByPages(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, moment)
		h.Must(s.AddLots(ctx, stamp, 31, []models.Lot{{ID: models.NewID(), Code: "SP-1", Material: "spokes"}, {ID: models.NewID(), Code: "SP-2", Material: "spokes"}, {ID: models.NewID(), Code: "SP-3", Material: "spokes"}}))
		var want []string
		for range 3 {
			sub := h.Extremes()
			sub.Serial = *h.AnotherWheel().Serial
			sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-1", Quantity: 18}}
			h.MustRecord(sub)
			want = append(want, sub.ID)
		}
		var results []string
		for after, n := "", 0; ; n++ {
			page, last, err := s.ResultsAfter(ctx, after, 2)
			h.Must(err)
			for _, r := range page {
				if !slices.Contains(results, r.InspectionID) {
					results = append(results, r.InspectionID)
				}
			}
			if after = last; after == "" || n > 5 {
				break
			}
		}
		slices.Sort(want)
		if !slices.Equal(results, want) {
			t.Errorf("results of %v, want %v", results, want)
		}
		pages := func(name string, next func(after string) (keys []string, err error), want int) {
			t.Helper()
			var all []string
			for after := ""; ; {
				keys, err := next(after)
				h.Must(err)
				if all = append(all, keys...); len(keys) < 2 {
					break
				}
				after = keys[1]
			}
			if !slices.IsSorted(all) || len(slices.Compact(all)) != want {
				t.Errorf("%s: %d, want %d: %v", name, len(all), want, all)
			}
		}
		pages("lots", func(after string) (keys []string, err error) {
			list, err := s.LotsAfter(ctx, after, 2)
			for _, x := range list {
				keys = append(keys, x.ID)
			}
			return keys, err
		}, 3)
		pages("items", func(after string) (keys []string, err error) {
			list, err := s.ItemsAfter(ctx, after, 2)
			for _, x := range list {
				keys = append(keys, x.ID)
			}
			return keys, err
		}, 5) // The shop's wheel and pack, and three wheels.
		pages("parts", func(after string) (keys []string, err error) {
			list, err := s.PartsAfter(ctx, after, 2)
			for _, x := range list {
				if keys = append(keys, x.ID); x.Serial == "" || x.LotCode != "SP-1" {
					t.Errorf("a part of no item: %+v", x)
				}
			}
			return keys, err
		}, 3)
		for range 3 {
			h.Must(s.AddCustomer(ctx, stamp, models.Customer{ID: models.NewRandomID(), Name: "A"}))
		}
		pages("customers", func(after string) (keys []string, err error) {
			list, err := s.CustomersAfter(ctx, stamp, after, "counted", 2)
			for _, x := range list {
				keys = append(keys, x.ID)
				if looks := must(s.LooksAt(ctx, x.ID, 9)); len(looks) != 1 || looks[0].Reason != "counted" || looks[0].PersonID != h.Owner.PersonID {
					t.Errorf("looks at a customer of the list: %+v", looks)
				}
			}
			return keys, err
		}, 3)
	})
}
