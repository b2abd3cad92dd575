package kinds

import (
	"reflect"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Own gives the characteristics that a product needs for itself, where those in
// force do not fit it; needed is false where they do. A rim maker's maximum lowers
// the limit of the mean tension: it is never exceeded because a family says more.
// The limits of a pack follow its own blocks and form, save those that the owner
// has set: see ownOfPack. A block model is judged by what its form says. before is
// the form that the product had, zero for none; first the first revision of its
// family's specification.
func (k Kind) Own(form, before models.ProductForm, inForce, first models.Specification) (list []models.Characteristic, needed bool, err error) {
	switch {
	case form.Wheel != nil:
		list, needed = underRimMaximum(form.Wheel.RimMaxTension, inForce.Characteristics)
		return list, needed, nil
	case form.Pack != nil:
		return k.ownOfPack(form, before, inForce, first)
	case form.Block != nil:
		return k.ownOfBlock(form, inForce)
	}
	return inForce.Characteristics, false, nil
}

func underRimMaximum(maximum string, family []models.Characteristic) ([]models.Characteristic, bool) {
	most, err := measure.Parse(maximum)
	if err != nil {
		return family, false // not known
	}
	return withLimits(family, func(l models.Limit) models.Limit {
		if l.Result != "tension_mean_tight" {
			return l
		}
		if high, err := measure.Parse(l.High); err != nil || most.Cmp(high) < 0 {
			l.High = most.String()
		}
		return l
	})
}

// withLimits changes limits in a copy, and says whether any is another now.
func withLimits(list []models.Characteristic, change func(models.Limit) models.Limit) ([]models.Characteristic, bool) {
	out, changed := slices.Clone(list), false
	for i, c := range out {
		out[i].Results = slices.Clone(c.Results)
		for k, l := range c.Results {
			out[i].Results[k] = change(l)
			changed = changed || !reflect.DeepEqual(out[i].Results[k], l)
		}
	}
	return out, changed
}

func has(list []models.Characteristic, result string) bool {
	return slices.ContainsFunc(list, func(c models.Characteristic) bool {
		return slices.ContainsFunc(c.Results, func(l models.Limit) bool { return l.Result == result })
	})
}
