package kinds

import (
	"slices"
	"testing"

	"tracewright/models"
)

// A model that asks for 12.95 V and 0.020 V (13.00 and 0.010 of grade A), as its
// maker's sheet is taken to say, beside blocks of 6 V and small ones by common
// practice: 12.80 V and 0.10 V for six cells of grade B, half for three.
var (
	strictModel = map[string]string{"ship_ocv_min_a_v": "13.00", "ship_ocv_min_b_v": "12.95", "spread_ocv_a_v": "0.010", "spread_ocv_b_v": "0.020", "spread_ir_a_pct": "8", "spread_ir_b_pct": "15"}
	small12     = models.PackForm{Chemistry: "agm_small", Cells: 6, Strings: 2, Blocks: 2}
)

func packOf(strings, blocks, cells int, limits map[string]string) models.ProductForm {
	p := models.PackForm{Chemistry: "agm_small", Cells: cells, Strings: strings, Blocks: blocks, Limits: limits}
	if limits != nil {
		p.BlockProduct = "b"
	}
	return models.ProductForm{Pack: &p}
}

// edit gives a specification with one limit another, and every result that is
// named in drop left out.
func edit(s models.Specification, result, low, high string, drop ...string) models.Specification {
	s.Revision++
	s.Characteristics, _ = withLimits(s.Characteristics, func(l models.Limit) models.Limit {
		if l.Result == result {
			l.Low, l.High = low, high
		}
		return l
	})
	s.Characteristics = slices.DeleteFunc(s.Characteristics, func(c models.Characteristic) bool { return slices.Contains(drop, c.Code) })
	return s
}

func TestThePacksLimitsFollowItsBlocksOneByOne(t *testing.T) {
	began := func(grade string, form models.ProductForm) models.Specification {
		list, err := packKind.DefaultSpecification(grade, form)
		if err != nil {
			t.Fatal(err)
		}
		return models.Specification{Grade: grade, Revision: 1, Characteristics: list}
	}
	bare, typical := began("B", models.ProductForm{}), began("B", models.ProductForm{Pack: &small12})
	untagged := edit(typical, "", "", "", "labelled")
	shop := edit(typical, "resistance_spread_pct", "", "12")
	shop.Grade = "own"
	toA := began("A", models.ProductForm{})
	product := "p"
	itsOwn := edit(began("B", packOf(1, 2, 6, strictModel)), "resistance_spread_pct", "", "9")
	itsOwn.ProductID = &product
	other := packOf(1, 2, 6, map[string]string{"ship_ocv_min_b_v": "12.85", "spread_ocv_b_v": "0.04", "spread_ir_b_pct": "18"})
	strict := packOf(1, 2, 6, strictModel)
	for _, c := range []struct {
		name           string
		form, before   models.ProductForm
		inForce, first models.Specification
		result, want   string
	}{
		{"the model's lowest voltage in a family made with a form", strict, models.ProductForm{}, typical, typical, "ocv_lowest", "12.95"},
		{"its spread", strict, models.ProductForm{}, typical, typical, "ocv_spread", "0.020"},
		{"its resistances", strict, models.ProductForm{}, typical, typical, "resistance_spread_pct", "15"},
		{"a tick that was dropped changes no limit", strict, models.ProductForm{}, untagged, typical, "ocv_lowest", "12.95"},
		{"and stays dropped", strict, models.ProductForm{}, untagged, typical, "labelled", "absent"},
		{"blocks of 6 V among packs of 12 V", packOf(1, 4, 3, nil), models.ProductForm{}, typical, typical, "ocv_lowest", "6.40"},
		{"an edited 12.85 V is of no block of 6 V", packOf(1, 4, 3, nil), models.ProductForm{}, edit(typical, "ocv_lowest", "12.85", ""), typical, "ocv_lowest", "6.40"},
		{"one string has no difference between strings", strict, models.ProductForm{}, typical, typical, "string_difference", "absent"},
		{"two have, where the family began without", packOf(2, 2, 6, strictModel), models.ProductForm{}, bare, bare, "string_difference", "0.1"},
		{"an edited limit that asks for more is kept", strict, models.ProductForm{}, edit(typical, "ocv_spread", "", "0.015"), typical, "ocv_spread", "0.015"},
		{"one that asks for less gives way to the model's", strict, models.ProductForm{}, edit(typical, "ocv_spread", "", "0.15"), typical, "ocv_spread", "0.020"},
		{"so does one that was cleared", strict, models.ProductForm{}, edit(typical, "ocv_spread", "", ""), typical, "ocv_spread", "0.020"},
		{"without a model an edited limit is the owner's", packOf(1, 2, 6, nil), models.ProductForm{}, edit(typical, "ocv_spread", "", "0.15"), typical, "ocv_spread", "0.15"},
		{"beside an edited one the others follow", strict, models.ProductForm{}, edit(typical, "ocv_spread", "", "0.015"), typical, "ocv_lowest", "12.95"},
		{"a grade changed since", strict, models.ProductForm{}, toA, typical, "ocv_spread", "0.010"},
		{"limits of the shop's own grade", strict, models.ProductForm{}, shop, typical, "resistance_spread_pct", "12"},
		{"and what it did not edit", strict, models.ProductForm{}, shop, typical, "ocv_lowest", "12.95"},
		{"another block model", other, strict, itsOwn, typical, "ocv_lowest", "12.85"},
		{"with what was edited for the product", other, strict, itsOwn, typical, "resistance_spread_pct", "9"},
	} {
		t.Run(c.name, func(t *testing.T) {
			list, _, err := packKind.Own(c.form, c.before, c.inForce, c.first)
			if err != nil {
				t.Fatal(err)
			}
			if got := highOf(list, c.result); got != c.want {
				t.Errorf("%s %s, want %s", c.result, got, c.want)
			}
		})
	}
}
