package receive

import (
	"cmp"
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

// PutMaterial adds a material where from is empty: models.ErrConflict where its code is
// taken. Else it changes the one of its code, all of it; from is the digest of what it was
// then, models.ErrStale when it was changed meanwhile. What was kept comes back.
func (s *Service) PutMaterial(ctx context.Context, actor models.Actor, from string, in models.Material) (models.Material, error) {
	stamp := models.NewStamp(actor, s.now())
	in.ChangedAt, in.ChangedBy = stamp.At, actor.String()
	if from == "" {
		if err := checkMaterial(&in); err != nil {
			return models.Material{}, err
		}
		if err := s.store.AddMaterial(ctx, stamp, in); err != nil {
			return models.Material{}, fmt.Errorf("add material %s: %w", in.Code, err)
		}
		return in, nil
	}
	changed, err := s.store.ChangeMaterial(ctx, stamp, in.Code, func(m *models.Material) error {
		if digest, err := models.Digest(*m); err != nil || from != digest {
			return cmp.Or(err, models.ErrStale)
		}
		if err := checkMaterial(&in); err != nil {
			return err
		}
		*m = in
		return nil
	})
	if err != nil {
		return models.Material{}, fmt.Errorf("change material %.40q: %w", in.Code, err)
	}
	return changed, nil
}

// checkMaterial tidies what is said of a material, or says everything that is wrong with it.
func checkMaterial(in *models.Material) error {
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
	in.Plan = plan
	if in.Roles == nil {
		in.Roles = []string{}
	}
	return invalid.OrNil()
}
