package specify

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// NewProduct is a product to be added.
type NewProduct struct {
	FamilyID string
	Name     string
	Form     models.ProductForm
}

// AddProduct adds a product with the first revision of its form.
func (s *Service) AddProduct(ctx context.Context, actor models.Actor, in NewProduct) (ProductView, error) {
	family, err := s.familyNamed(ctx, in.FamilyID)
	if err != nil {
		return ProductView{}, err
	}
	c := &checker{}
	c.needed("name", &in.Name, longestName)
	if err := s.checkForm(ctx, c, family.Kind, &in.Form); err != nil {
		return ProductView{}, err
	}
	if err := c.OrNil(); err != nil {
		return ProductView{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: in.Name, Revision: 1, CreatedAt: stamp.At, CreatedBy: actor.String()}
	first := models.ProductRevision{ProductID: product.ID, Revision: 1, Form: in.Form, CreatedAt: stamp.At, CreatedBy: actor.String()}
	if err := s.store.AddProduct(ctx, stamp, product, first); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return ProductView{}, models.Invalid("name", "taken", "value", in.Name)
		}
		return ProductView{}, fmt.Errorf("add product %s: %w", in.Name, err)
	}
	if err := s.ownLimits(ctx, stamp, family, product, in.Form, models.ProductForm{}); err != nil {
		return ProductView{}, err
	}
	return s.Product(ctx, product.ID)
}

// ReviseProduct follows a product's form by the next revision. from is the
// revision that the change was made on; when there is a newer one meanwhile the
// error is [models.ErrStale].
func (s *Service) ReviseProduct(ctx context.Context, actor models.Actor, productID string, from int, form models.ProductForm, reason string) (ProductView, error) {
	old, err := s.Product(ctx, productID)
	if err != nil {
		return ProductView{}, err
	}
	c := &checker{}
	c.reason(&reason)
	if err := s.checkForm(ctx, c, old.Family.Kind, &form); err != nil {
		return ProductView{}, err
	}
	if err := c.OrNil(); err != nil {
		return ProductView{}, err
	}
	if from != old.Form.Revision {
		return ProductView{}, fmt.Errorf("revise product %s from revision %d, the newest is %d: %w", old.Product.Name, from, old.Form.Revision, models.ErrStale)
	}
	stamp := models.NewStamp(actor, s.now())
	next := models.ProductRevision{ProductID: productID, Revision: from + 1, Form: form, Reason: reason, CreatedAt: stamp.At, CreatedBy: actor.String()}
	if err := s.store.AddProductRevision(ctx, stamp, next); err != nil {
		if errors.Is(err, models.ErrConflict) {
			err = fmt.Errorf("%w: %w", models.ErrStale, err)
		}
		return ProductView{}, fmt.Errorf("revise product %s: %w", old.Product.Name, err)
	}
	if err := s.ownLimits(ctx, stamp, old.Family, old.Product, form, old.Form.Form); err != nil {
		return ProductView{}, err
	}
	return s.Product(ctx, productID)
}

// checkForm checks a form, with what it takes from another product's.
func (s *Service) checkForm(ctx context.Context, c *checker, kind string, form *models.ProductForm) error {
	if kind == models.KindPack && form.Pack != nil {
		if err := s.fromBlockModel(ctx, c, "form.pack.", form.Pack); err != nil {
			return err
		}
	}
	if kind == models.KindKit && form.Kit != nil {
		if err := s.kitForm(ctx, c, "form.kit.", form.Kit); err != nil {
			return err
		}
	}
	c.productForm(kind, form)
	return nil
}

// productForm checks the part of a form that belongs to the kind of family, and
// refuses the others.
func (c *checker) productForm(kind string, form *models.ProductForm) {
	for _, part := range []struct {
		kind  string
		there bool
		check func()
	}{
		{models.KindWheel, form.Wheel != nil, func() { c.wheelForm("form.wheel.", form.Wheel) }},
		{models.KindPack, form.Pack != nil, func() { c.packForm("form.pack.", form.Pack) }},
		{models.KindBlock, form.Block != nil, func() { c.blockForm("form.block.", form.Block) }},
		{models.KindKit, form.Kit != nil, func() {}}, // Its lines name other products: see checkForm.
	} {
		switch field := "form." + part.kind; {
		case part.kind == kind && !part.there:
			c.Add(field, "missing")
		case part.kind == kind:
			part.check()
		case part.there:
			c.Add(field, "other_kind")
		}
	}
}

// familyNamed finds the family that an input names.
func (s *Service) familyNamed(ctx context.Context, id string) (models.Family, error) {
	if id == "" {
		return models.Family{}, models.Invalid("family", "missing")
	}
	family, err := s.store.Family(ctx, id)
	if errors.Is(err, models.ErrNotFound) {
		return models.Family{}, models.Invalid("family", "unknown_family")
	}
	if err != nil {
		return models.Family{}, fmt.Errorf("family %.40q: %w", id, err)
	}
	return family, nil
}
