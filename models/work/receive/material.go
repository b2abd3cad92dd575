package receive

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"

	"tracewright/models"
)

// materialCode is what a material may be called in addresses and files.
var materialCode = regexp.MustCompile(`^[a-z][a-z0-9_]{0,29}$`)

// Materials lists what a lot may hold, by name.
func (s *Service) Materials(ctx context.Context) ([]models.Material, error) {
	list, err := s.store.Materials(ctx)
	if err != nil {
		return nil, fmt.Errorf("materials: %w", err)
	}
	return list, nil
}

// Suppliers lists the register by name.
func (s *Service) Suppliers(ctx context.Context) ([]models.Supplier, error) {
	list, err := s.store.Suppliers(ctx)
	if err != nil {
		return nil, fmt.Errorf("suppliers: %w", err)
	}
	return list, nil
}

// PutMaterial adds a material, or changes the one of its code where there is
// one. What was kept comes back.
func (s *Service) PutMaterial(ctx context.Context, actor models.Actor, in models.Material) (models.Material, error) {
	invalid := &models.InvalidError{}
	check(invalid, field{"code", &in.Code, true, longestCode}, field{"name", &in.Name, true, longestCode}, field{"unit", &in.Unit, true, longestCode})
	if in.Code != "" && !materialCode.MatchString(in.Code) {
		invalid.Add("code", "material_code")
	}
	for _, role := range in.Roles {
		if !slices.Contains(models.PartRoles, role) {
			invalid.Add("roles", "unknown_role", "role", models.Shortened(role))
		}
	}
	switch {
	case in.Least < 0:
		invalid.Add("least", "negative_not_possible")
	case in.Least > mostInLot:
		invalid.Add("least", "too_big", "most", fmt.Sprint(mostInLot))
	}
	plan, err := checkedPlan(in.Plan)
	var wrong *models.InvalidError
	if errors.As(err, &wrong) {
		invalid.Problems = append(invalid.Problems, wrong.Problems...)
	}
	if err := invalid.OrNil(); err != nil {
		return models.Material{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	in.Plan, in.ChangedAt, in.ChangedBy = plan, stamp.At, actor.String()
	if in.Roles == nil {
		in.Roles = []string{}
	}
	switch _, err := s.store.Material(ctx, in.Code); {
	case err == nil:
		err = s.store.UpdateMaterial(ctx, stamp, in)
		return in, err
	case !errors.Is(err, models.ErrNotFound):
		return models.Material{}, fmt.Errorf("material %s: %w", in.Code, err)
	}
	if err := s.store.AddMaterial(ctx, stamp, in); err != nil {
		return models.Material{}, fmt.Errorf("add material %s: %w", in.Code, err)
	}
	return in, nil
}
