package kinds

import (
	"testing"

	"tracewright/models"
)

func highOf(list []models.Characteristic, result string) string {
	for _, c := range list {
		for _, l := range c.Results {
			if l.Result == result {
				return l.High + l.Low
			}
		}
	}
	return "absent"
}

func TestAProductsOwnLimits(t *testing.T) {
	spec := func(k Kind, form models.ProductForm) models.Specification {
		list, err := k.DefaultSpecification(k.Grades[0], form)
		if err != nil {
			t.Fatal(err)
		}
		return models.Specification{Grade: k.Grades[0], Characteristics: list}
	}
	wheels, packs := spec(wheelKind, wheelForm), spec(packKind, models.ProductForm{})
	edited := spec(packKind, models.ProductForm{})
	edited.Characteristics, _ = withLimits(edited.Characteristics, func(l models.Limit) models.Limit {
		if l.Result == "ocv_spread" {
			l.High = "0.07"
		}
		return l
	})
	blocks := spec(blockKind, models.ProductForm{})
	for _, c := range []struct {
		name   string
		kind   Kind
		form   models.ProductForm
		family models.Specification
		first  models.Specification
		needed bool
		result string
		want   string
	}{
		// 800 to 1300 N by common practice; the rim maker's figure comes first.
		{"a rim that takes more", wheelKind, models.ProductForm{Wheel: &models.WheelForm{Holes: 28, RimMaxTension: "1400"}}, wheels, wheels, false, "tension_mean_tight", "1300800"},
		{"a rim that takes less", wheelKind, models.ProductForm{Wheel: &models.WheelForm{Holes: 28, RimMaxTension: "1150"}}, wheels, wheels, true, "tension_mean_tight", "1150800"},
		{"a rim whose maximum is not known", wheelKind, wheelForm, wheels, wheels, false, "tension_mean_tight", "1300800"},
		{"the blocks the family began with", packKind, models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 4}}, packs, packs, false, "ocv_lowest", "12.70"},
		{"blocks of 6 V", packKind, models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 3, Strings: 1, Blocks: 4}}, packs, packs, true, "ocv_lowest", "6.35"},
		{"two strings of the owner's own limits", packKind, models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 2, Blocks: 2}}, edited, packs, true, "ocv_spread", "0.07"},
		{"two strings are compared", packKind, models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 2, Blocks: 2}}, edited, packs, true, "string_difference", "0.1"},
		{"a block model as the family began", blockKind, models.ProductForm{Block: &models.BlockForm{Chemistry: "agm", Cells: 6}}, blocks, blocks, false, "block_ocv25", "12.60"},
		{"a block model of 6 V", blockKind, models.ProductForm{Block: &models.BlockForm{Chemistry: "agm", Cells: 3}}, blocks, blocks, true, "block_ocv25", "6.30"},
		{"a block model's own window", blockKind, models.ProductForm{Block: &models.BlockForm{Chemistry: "agm", Cells: 6, ResistanceLow: "8", ResistanceHigh: "20"}}, blocks, blocks, true, "block_r25", "208"},
	} {
		t.Run(c.name, func(t *testing.T) {
			list, needed, err := c.kind.Own(c.form, models.ProductForm{}, c.family, c.first)
			if err != nil {
				t.Fatal(err)
			}
			if got := highOf(list, c.result); needed != c.needed || got != c.want {
				t.Errorf("own limits %v with %s %s, want %v with %s", needed, c.result, got, c.needed, c.want)
			}
		})
	}
}
