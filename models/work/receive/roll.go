package receive

import (
	"context"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// mostOnRoll is more labels than a roll holds.
const mostOnRoll = 5000

// NewRoll asks for a roll of labels with serials, to be printed ahead.
type NewRoll struct {
	Kind      string // wheel or pack
	ProductID string // empty: asked for at each first scan
	Count     int    // of counter values; about one in nine gives no serial
}

// Rolls lists the rolls, last printed first.
func (s *Service) Rolls(ctx context.Context) ([]models.SerialRoll, error) {
	rolls, err := s.store.Rolls(ctx)
	if err != nil {
		return nil, fmt.Errorf("rolls: %w", err)
	}
	return rolls, nil
}

// AddRoll reserves the serials of a roll. The first scan of each makes its item.
func (s *Service) AddRoll(ctx context.Context, actor models.Actor, in NewRoll) (models.SerialRoll, error) {
	invalid := &models.InvalidError{}
	kind, ok := kinds.Named(strings.TrimSpace(in.Kind))
	if !ok {
		invalid.Add("kind", "unknown_kind", "kind", models.Shortened(in.Kind))
	}
	switch {
	case in.Count < 1:
		invalid.Add("count", "too_small", "least", "1")
	case in.Count > mostOnRoll:
		invalid.Add("count", "too_big", "most", fmt.Sprint(mostOnRoll))
	}
	if err := invalid.OrNil(); err != nil {
		return models.SerialRoll{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	roll := models.SerialRoll{ID: models.NewID(), Letter: string(rune(kind.Letter)), Year: s.year2(ctx), First: 1, Last: in.Count,
		PrintedAt: stamp.At, PrintedBy: actor.String()}
	if in.ProductID != "" {
		product, err := s.product(ctx, in.ProductID)
		if err != nil {
			return models.SerialRoll{}, err
		}
		family, err := s.store.Family(ctx, product.FamilyID)
		if err != nil {
			return models.SerialRoll{}, fmt.Errorf("family of product %s: %w", product.Name, err)
		}
		if family.Kind != kind.Name {
			return models.SerialRoll{}, models.Invalid("product", "other_kind")
		}
		roll.ProductID = &product.ID
	}
	roll, err := s.store.AddRoll(ctx, stamp, roll)
	if err != nil {
		return models.SerialRoll{}, fmt.Errorf("reserve a roll of %d serials: %w", in.Count, err)
	}
	return roll, nil
}

// Serials lists the serials on a roll, in order, as they are printed.
func Serials(roll models.SerialRoll) []string {
	if len(roll.Letter) != 1 {
		return nil
	}
	serials := ident.Range(ident.Kind(roll.Letter[0]), roll.Year, roll.First, roll.Last)
	for i, serial := range serials {
		serials[i] = ident.Print(serial)
	}
	return serials
}
