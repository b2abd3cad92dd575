package receive_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// A label of a printed roll becomes an item before anything is read on it, once.
func TestALabelBecomesAnItemBeforeItIsRead(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx, wheel, pack := t.Context(), *h.Item[models.KindWheel].ProductID, *h.Item[models.KindPack].ProductID
		open, err := s.AddRoll(ctx, h.Operator, receive.NewRoll{Kind: models.KindPack, Count: 9})
		h.Must(err)
		named, err := s.AddRoll(ctx, h.Operator, receive.NewRoll{Kind: models.KindPack, Count: 9, ProductID: pack})
		h.Must(err)
		bare, bound := receive.Serials(open)[0], receive.Serials(named)[0]
		unused, _ := ident.Allocate(ident.Pack, 31, 20_000)
		for _, row := range []struct {
			name, serial, product string
			want                  []string
		}{
			{"without a product", bare, "", []string{"product: product_of_roll_missing"}},
			{"a product of another kind", bare, wheel, []string{"product: product_of_other_kind"}},
			{"a product nobody has", bare, models.NewID(), []string{"product: unknown_product"}},
			{"on no roll", unused, pack, []string{"serial: unknown_serial"}},
			{"misread", bare[:len(bare)-1] + "?", pack, []string{"serial: serial_form"}},
		} {
			_, err := s.MakeLabelled(ctx, h.Operator, row.serial, row.product)
			t.Run(row.name, func(t *testing.T) { worktest.WantProblems(t, err, row.want...) })
		}
		for serial, product := range map[string]string{bare: pack, bound: ""} {
			item, err := s.MakeLabelled(ctx, h.Operator, serial, product)
			h.Must(err)
			if ident.Print(*item.Serial) != serial || *item.ProductID != pack || item.State != models.StateInProcess {
				t.Errorf("%s: %+v", serial, item)
			}
			again, err := s.MakeLabelled(ctx, h.Operator, serial, product)
			h.Must(err)
			if again.ID != item.ID {
				t.Errorf("%s is two items", serial)
			}
		}
	})
}
