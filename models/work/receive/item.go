package receive

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// NewItem asks for an item of the shop's own making: of a product, or one-off
// of a family. One of the two is set.
type NewItem struct {
	ProductID string
	FamilyID  string
}

// MakeItem gives the next serial to a new wheel or pack.
func (s *Service) MakeItem(ctx context.Context, actor models.Actor, in NewItem) (models.Item, error) {
	family, product, err := s.made(ctx, in)
	if err != nil {
		return models.Item{}, err
	}
	kind, ok := kinds.Named(family.Kind)
	if !ok {
		return models.Item{}, fmt.Errorf("family %s is of the unknown kind %q", family.Name, family.Kind)
	}
	stamp := models.NewStamp(actor, s.now())
	item := models.Item{ID: models.NewID(), Kind: kind.Name, FamilyID: &family.ID, State: models.StateInProcess, Origin: "made",
		CreatedAt: stamp.At, CreatedBy: actor.String()}
	if product != nil {
		item.ProductID = &product.ID
	}
	if item, err = s.store.AddItemWithSerial(ctx, stamp, item, string(rune(kind.Letter)), s.year2(ctx), nil); err != nil {
		if errors.Is(err, ident.ErrUsedUp) {
			return models.Item{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("serials_used_up")}}
		}
		return models.Item{}, fmt.Errorf("make a %s of family %s: %w", kind.Name, family.Name, err)
	}
	return item, nil
}

// made finds what the item is to be.
func (s *Service) made(ctx context.Context, in NewItem) (models.Family, *models.Product, error) {
	if (in.ProductID == "") == (in.FamilyID == "") {
		return models.Family{}, nil, models.Invalid("product", "product_or_family")
	}
	var product *models.Product
	if in.ProductID != "" {
		p, err := s.product(ctx, in.ProductID)
		if err != nil {
			return models.Family{}, nil, err
		}
		product, in.FamilyID = &p, p.FamilyID
	}
	family, err := s.store.Family(ctx, in.FamilyID)
	if errors.Is(err, models.ErrNotFound) {
		return models.Family{}, nil, models.Invalid("family", "unknown_family")
	}
	if err != nil {
		return models.Family{}, nil, fmt.Errorf("family %.40q: %w", in.FamilyID, err)
	}
	return family, product, nil
}

func (s *Service) product(ctx context.Context, id string) (models.Product, error) {
	product, err := s.store.Product(ctx, id)
	if errors.Is(err, models.ErrNotFound) {
		return models.Product{}, models.Invalid("product", "unknown_product", "product", models.Shortened(id))
	}
	if err != nil {
		return models.Product{}, fmt.Errorf("product %.40q: %w", id, err)
	}
	return product, nil
}
