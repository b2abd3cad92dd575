package specify

import (
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
)

const (
	// A stored result carries two decimals beyond those printed.
	fewestDecimals = 2
	mostDecimals   = 8
)

// characteristics checks a list against what the kind of item knows: a
// specification chooses among its characteristics, methods and results, and
// sets limits; what a result is and how it is computed stands fixed. Texts are
// brought to the form in which they are stored. The error is one of the
// program, not of the input.
func (c *checker) characteristics(kind kinds.Kind, form models.ProductForm, list []models.Characteristic) error {
	known, err := everything(kind, form)
	if err != nil {
		return fmt.Errorf("characteristics of a %s: %w", kind.Name, err)
	}
	if len(list) == 0 {
		c.Add("characteristics", "missing")
	}
	seen := map[string]bool{}
	for i := range list {
		field := fmt.Sprintf("characteristics[%d]", i)
		reference, ok := known.Characteristic(list[i].Code)
		switch {
		case !ok:
			c.Add(field+".code", "unknown_characteristic", "code", models.Shortened(list[i].Code))
		case seen[list[i].Code]:
			c.Add(field+".code", "listed_twice", "code", list[i].Code)
		default:
			c.characteristic(field, &list[i], reference, form)
		}
		seen[list[i].Code] = true
	}
	for i := range list {
		if needed := neededBeside[list[i].Code]; needed != "" && !seen[needed] {
			c.Add(fmt.Sprintf("characteristics[%d].code", i), "needs_another", "characteristic", needed)
		}
	}
	return nil
}

// neededBeside names what a characteristic cannot be reduced without: a voltage
// and a resistance are corrected to one temperature, and the pack is held
// against the sum of its blocks.
var neededBeside = map[string]string{
	kinds.BlockVoltage: kinds.BlockTemperature, kinds.BlockResistance: kinds.BlockTemperature, kinds.PackVoltage: kinds.BlockVoltage,
}

// everything is the default specification of a product of this form with every
// result there can be: a pack of one string has no difference between strings,
// so two are asked for.
func everything(kind kinds.Kind, form models.ProductForm) (*models.Specification, error) {
	if kind.Name == models.KindPack {
		p := models.PackForm{Chemistry: "agm", Cells: 6, Blocks: 4}
		if form.Pack != nil {
			p = *form.Pack
		}
		p.Strings = max(2, p.Strings)
		form.Pack = &p
	}
	list, err := kind.DefaultSpecification(kind.Grades[0], form)
	if err != nil {
		return nil, err
	}
	return &models.Specification{Characteristics: list}, nil
}

// characteristic checks one against its reference.
func (c *checker) characteristic(field string, x *models.Characteristic, reference models.Characteristic, form models.ProductForm) {
	c.fixed(field+".form", &x.Form, reference.Form)
	c.fixed(field+".unit", &x.Unit, reference.Unit)
	c.fixed(field+".instrument", &x.Instrument, reference.Instrument)
	c.choices(field+".methods", "method_not_accepted", "method", x.Methods, reference.Methods)
	if len(x.Methods) == 0 {
		c.Add(field+".methods", "missing")
	}
	if reference.Form == models.Measured {
		c.units(field+".units", x, reference)
		c.sample(field+".sample", x, reference, form)
	} else {
		x.Units, x.Sample, x.Hundredths = nil, nil, false
	}
	if len(x.Results) == 0 {
		c.Add(field+".results", "missing")
	}
	seen := map[string]bool{}
	for j := range x.Results {
		at := fmt.Sprintf("%s.results[%d]", field, j)
		l := &x.Results[j]
		k := slices.IndexFunc(reference.Results, func(r models.Limit) bool { return r.Result == l.Result })
		switch {
		case k < 0:
			c.Add(at+".result", "unknown_code", "code", models.Shortened(l.Result))
		case seen[l.Result]:
			c.Add(at+".result", "listed_twice", "code", l.Result)
		default:
			c.limit(at, l, reference.Results[k], reference.Form)
		}
		seen[l.Result] = true
	}
}

// fixed fills in what the kind of item says, and refuses anything else.
func (c *checker) fixed(field string, value *string, want string) {
	if *value == "" {
		*value = want
	}
	if *value != want {
		c.Add(field, "fixed_by_kind", "want", want)
	}
}

// choices refuses what is not among the allowed, and what stands twice.
func (c *checker) choices(field, code, name string, values, allowed []string) {
	for i, v := range values {
		at := fmt.Sprintf("%s[%d]", field, i)
		switch {
		case !slices.Contains(allowed, v):
			c.Add(at, code, name, models.Shortened(v))
		case slices.Contains(values[:i], v):
			c.Add(at, "listed_twice", "code", v)
		}
	}
}

// units checks the units that readings may be typed in.
func (c *checker) units(field string, x *models.Characteristic, reference models.Characteristic) {
	if len(x.Units) == 0 {
		x.Units = reference.Units
	}
	for i, u := range x.Units {
		at := fmt.Sprintf("%s[%d]", field, i)
		switch {
		case !measure.Unit(u).Known():
			c.Add(at, "unknown_unit", "unit", models.Shortened(u))
		case !measure.Convertible(measure.Unit(u), measure.Unit(reference.Unit)) && !slices.Contains(reference.Units, u):
			c.Add(at, "unit_not_accepted", "unit", u, "units", strings.Join(reference.Units, ", "))
		case slices.Contains(x.Units[:i], u):
			c.Add(at, "listed_twice", "code", u)
		}
	}
}

// sample checks the spokes that a sample reads: at least two, of one side.
func (c *checker) sample(field string, x *models.Characteristic, reference models.Characteristic, form models.ProductForm) {
	if !slices.Contains(x.Methods, models.Sample) || len(reference.Sample) == 0 {
		x.Sample = nil
		return
	}
	if len(x.Sample) == 0 {
		x.Sample = reference.Sample
	}
	c.whole(field, len(x.Sample), 2, mostHoles/2)
	holes := mostHoles
	if form.Wheel != nil {
		holes = form.Wheel.Holes
	}
	for i, j := range x.Sample {
		at, position := fmt.Sprintf("%s[%d]", field, i), models.Spoke(j).Shown()
		switch {
		case j < 0 || j >= holes:
			c.Add(at, "index_out_of_range", "position", position)
		case j%2 != reference.Sample[0]%2:
			c.Add(at, "wrong_side", "position", position)
		case slices.Contains(x.Sample[:i], j):
			c.Add(at, "index_twice", "position", position)
		}
	}
}

// limit checks what is asked of one result. Under a method that cannot give it,
// a result cannot be required.
func (c *checker) limit(field string, l *models.Limit, reference models.Limit, form string) {
	c.fixed(field+".unit", &l.Unit, reference.Unit)
	c.choices(field+".required", "method_not_accepted", "method", l.Required, reference.Required)
	if form != models.Measured && form != models.Counted {
		for _, given := range []string{l.Low, l.High, l.Warn, l.U, l.Rule, l.GuardFactor, l.Budget} {
			if given != "" {
				c.Add(field, "limit_not_possible", "code", l.Result)
				return
			}
		}
		return
	}
	if l.Decimals == 0 {
		l.Decimals = reference.Decimals
	}
	c.whole(field+".decimals", l.Decimals, fewestDecimals, mostDecimals)
	low, okLow := c.decimal(field+".low", &l.Low, anySign)
	high, okHigh := c.decimal(field+".high", &l.High, anySign)
	c.decimal(field+".warn", &l.Warn, anySign)
	c.decimal(field+".u", &l.U, above)
	if okLow && okHigh && low.Cmp(high) > 0 {
		c.Add(field+".low", "low_above_high")
	}
}
