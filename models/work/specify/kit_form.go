package specify

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

const (
	mostKitLines  = 30
	mostOfKitLine = 500
)

// kitForm checks what a kit holds: each line items of a product of wheels or
// packs, or small parts by their words, each once.
func (s *Service) kitForm(ctx context.Context, c *checker, prefix string, k *models.KitForm) error {
	if len(k.Lines) == 0 {
		c.Add(prefix+"lines", "missing")
	}
	if len(k.Lines) > mostKitLines {
		c.Add(prefix+"lines", "too_big", "most", fmt.Sprint(mostKitLines))
		return nil
	}
	seen := map[string]bool{}
	for i := range k.Lines {
		l := &k.Lines[i]
		field := fmt.Sprintf("%slines[%d]", prefix, i)
		c.text(field+".part", &l.Part, longestName)
		switch {
		case (l.Product == "") == (l.Part == ""):
			c.Add(field, "product_or_part")
		case seen[l.Product+"\x00"+l.Part]:
			c.Add(field, "line_twice")
		}
		seen[l.Product+"\x00"+l.Part] = true
		switch {
		case l.Quantity < 1:
			c.Add(field+".quantity", "too_small", "least", "1")
		case l.Quantity > mostOfKitLine:
			c.Add(field+".quantity", "too_big", "most", fmt.Sprint(mostOfKitLine))
		}
		if l.Product == "" {
			continue
		}
		if err := s.packable(ctx, c, field+".product", l.Product); err != nil {
			return err
		}
	}
	return nil
}

// packable refuses a product that is none of wheels or packs.
func (s *Service) packable(ctx context.Context, c *checker, field, id string) error {
	product, err := s.store.Product(ctx, id)
	if errors.Is(err, models.ErrNotFound) {
		c.Add(field, "unknown_product", "product", models.Shortened(id))
		return nil
	}
	if err != nil {
		return fmt.Errorf("product of a kit: %w", err)
	}
	family, err := s.store.Family(ctx, product.FamilyID)
	if err != nil {
		return fmt.Errorf("family of %s: %w", product.Name, err)
	}
	if family.Kind != models.KindWheel && family.Kind != models.KindPack {
		c.Add(field, "not_packable", "serial", product.Name)
	}
	return nil
}
