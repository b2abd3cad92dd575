package store_test

import (
	"errors"
	"fmt"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// delivery is motors numbered from one number on.
func delivery(from, n int) []models.Item {
	list := make([]models.Item, n)
	for i := range list {
		list[i] = models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: "Brook", Model: "H1", MakerNumber: pointer(fmt.Sprintf("H1-%05d", from+i)), Origin: "received"}
	}
	return list
}

// A delivery larger than one transaction is all there, each part with its
// trail entry; a number that is taken refuses what comes with it.
func TestManyItemsAtOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx, stamp := t.Context(), models.NewStamp(models.Actor{}, moment)
		motors := delivery(1, 450)
		if err := s.AddItems(ctx, stamp, motors); err != nil {
			t.Fatal(err)
		}
		for _, i := range []int{0, 199, 200, 449} {
			found := must(s.ItemsByMakerNumber(ctx, *motors[i].MakerNumber, 2))
			want := motors[i]
			want.State, want.CreatedAt, want.CreatedBy = models.StateInProcess, moment, stamp.By.String()
			same(t, "motor "+*want.MakerNumber, found, []models.Item{want})
			entries := must(s.TrailOf(ctx, []string{want.ID}, 9))
			if digest := must(models.Digest(want)); len(entries) != 1 || entries[0].Digest != digest || !entries[0].At.Equal(moment) {
				t.Errorf("the trail of motor %s: %+v, want one entry of digest %s", *want.MakerNumber, entries, digest)
			}
		}
		if err := s.AddItems(ctx, stamp, nil); err != nil {
			t.Errorf("no items at all: %v", err)
		}

		again := append(delivery(600, 5), delivery(450, 1)...)
		if err := s.AddItems(ctx, stamp, again); !errors.Is(err, models.ErrConflict) {
			t.Errorf("a number that is taken: %v, want a conflict", err)
		}
		for _, i := range again[:5] {
			if found := must(s.ItemsByMakerNumber(ctx, *i.MakerNumber, 2)); len(found) != 0 {
				t.Errorf("motor %s stayed of a transaction that was refused", *i.MakerNumber)
			}
		}
	})
}
