package specify

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/trade/kinds"
)

// NewFamily is a family to be added. Its first specification holds the default
// limits of Grade; Form, which may be empty, is a typical product, for defaults
// that follow from it (the sampled spokes from the number of holes).
type NewFamily struct {
	Kind  string
	Name  string
	Grade string // empty: the suggested one
	Form  models.ProductForm
}

// AddFamily adds a family with its first specification.
func (s *Service) AddFamily(ctx context.Context, actor models.Actor, in NewFamily) (FamilyView, error) {
	c := &checker{}
	c.needed("name", &in.Name, longestName)
	kind, known := kinds.Named(in.Kind)
	switch {
	case in.Kind == "":
		c.Add("kind", "missing")
	case !known:
		c.Add("kind", "unknown_kind", "kind", models.Shortened(in.Kind))
	default:
		if in.Form != (models.ProductForm{}) {
			c.productForm(kind.Name, &in.Form)
		}
		if in.Grade == "" {
			in.Grade = kind.Grades[0]
		}
		if !slices.Contains(kind.Grades, in.Grade) {
			c.Add("grade", "unknown_grade", "grade", models.Shortened(in.Grade))
		}
	}
	if err := c.OrNil(); err != nil {
		return FamilyView{}, err
	}
	characteristics, err := kind.DefaultSpecification(in.Grade, in.Form)
	if err != nil {
		return FamilyView{}, fmt.Errorf("default specification of a %s: %w", in.Kind, err)
	}
	stamp := models.NewStamp(actor, s.now())
	family := models.Family{ID: models.NewID(), Kind: kind.Name, Name: in.Name, CreatedAt: stamp.At, CreatedBy: actor.String()}
	first := models.Specification{ID: models.NewID(), FamilyID: family.ID, Revision: 1, Grade: in.Grade, Rule: string(conformity.Simple),
		Characteristics: characteristics, CreatedAt: stamp.At, CreatedBy: actor.String()}
	if err := s.store.AddFamily(ctx, stamp, family, first); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return FamilyView{}, models.Invalid("name", "taken", "value", in.Name)
		}
		return FamilyView{}, fmt.Errorf("add family %s: %w", in.Name, err)
	}
	return s.Family(ctx, family.ID)
}
