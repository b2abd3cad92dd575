package kinds

import (
	"reflect"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Own gives the characteristics that a product needs for itself, where its
// family's do not fit it; needed is false where they do. A rim maker's maximum
// lowers the limit of the mean tension: it is never exceeded because a family
// says more. A pack of several strings is asked how far they lie apart. A pack
// family whose limits are still those it began with gives each product the
// limits of its own blocks, and a product whose limits are still those of its form
// before follows the new one; limits that the owner has set are kept. A block
// model is judged by what its form says. before is the zero form of a product that
// has none yet.
func (k Kind) Own(form, before models.ProductForm, family models.Specification) (list []models.Characteristic, needed bool, err error) {
	switch {
	case form.Wheel != nil:
		list, needed = underRimMaximum(form.Wheel.RimMaxTension, family.Characteristics)
		return list, needed, nil
	case form.Pack != nil && slices.Contains(k.Grades, family.Grade):
		return k.ownOfPack(form, before, family)
	case form.Block != nil:
		return k.ownOfBlock(form, family)
	}
	return family.Characteristics, false, nil
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

func (k Kind) ownOfPack(form, before models.ProductForm, family models.Specification) ([]models.Characteristic, bool, error) {
	own, err := k.characteristics(family.Grade, form)
	if err != nil {
		return nil, false, err
	}
	for _, form := range []models.ProductForm{{}, before} {
		began, err := k.characteristics(family.Grade, form)
		if err != nil {
			return nil, false, err
		}
		if reflect.DeepEqual(bare(family.Characteristics), bare(began)) {
			return own, !reflect.DeepEqual(bare(own), bare(began)), nil
		}
	}
	if form.Pack.Strings < 2 || has(family.Characteristics, "string_difference") {
		return family.Characteristics, false, nil
	}
	list := slices.Clone(family.Characteristics)
	for i, c := range list {
		if c.Code != PackVoltage {
			continue
		}
		for _, o := range own {
			for _, l := range o.Results {
				if l.Result == "string_difference" {
					list[i].Results = append(slices.Clone(c.Results), l)
				}
			}
		}
	}
	return list, true, nil
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

// bare is the characteristics without the uncertainties that were typed in and
// without the sample, which follows the wheel.
func bare(list []models.Characteristic) []models.Characteristic {
	out, _ := withLimits(list, func(l models.Limit) models.Limit { l.U = ""; return l })
	for i := range out {
		out[i].Sample = nil
	}
	return out
}

func has(list []models.Characteristic, result string) bool {
	return slices.ContainsFunc(list, func(c models.Characteristic) bool {
		return slices.ContainsFunc(c.Results, func(l models.Limit) bool { return l.Result == result })
	})
}
