package kinds

import (
	"reflect"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// packFollows is what the limits of a pack follow, result by result.
type packFollows struct {
	own   map[string]models.Limit   // what the product's form asks for
	began []map[string]models.Limit // what was never edited equals one of these
	model bool                      // own is what a block model's form says
	most  measure.Decimal           // no rested block of the form stands above it, V
	bound bool                      // most is known
}

// ownOfPack gives a pack the limits that follow from its own form: lowest voltage,
// spreads and sums of its blocks, and how far strings may differ. Each side of
// each limit goes by itself, whatever else of the family was changed, and ticks,
// methods and uncertainties stay as they are.
//
// A limit counts as edited when it is neither that of the first revision of the
// family's specification (that of the common form, where the grade is another
// since) nor, in a specification of the product's own, that of its form before.
// One that was not edited follows the form. One that was is kept, unless the block
// model asks for more: what a model's form says is never loosened above it. A
// least voltage that no rested block of the form can have is that of another
// block, and follows too. A grade that is the shop's own is held against the one
// the family began with.
func (k Kind) ownOfPack(form, before models.ProductForm, inForce, first models.Specification) ([]models.Characteristic, bool, error) {
	f, err := k.packFollows(form, before, inForce, first)
	if err != nil {
		return nil, false, err
	}
	list, _ := withLimits(inForce.Characteristics, f.merged)
	for i, c := range list {
		if c.Code != PackVoltage {
			continue
		}
		list[i].Results = slices.DeleteFunc(c.Results, func(l models.Limit) bool { return l.Result == "string_difference" && form.Pack.Strings < 2 })
		if o, asked := f.own["string_difference"]; asked && !has(list, "string_difference") {
			list[i].Results = append(list[i].Results, o)
		}
	}
	list = slices.DeleteFunc(list, func(c models.Characteristic) bool { return len(c.Results) == 0 })
	return list, !reflect.DeepEqual(list, inForce.Characteristics), nil
}

func (k Kind) packFollows(form, before models.ProductForm, inForce, first models.Specification) (packFollows, error) {
	grade := k.packGrade(inForce.Grade, first.Grade)
	f := packFollows{model: len(form.Pack.Limits) > 0}
	f.most, f.bound = mostRested(*form.Pack)
	own, err := k.characteristics(grade, form)
	if err != nil {
		return f, err
	}
	f.own = byResult(own)
	forms := []models.ProductForm{}
	if first.Grade == grade {
		f.began = append(f.began, byResult(first.Characteristics))
	} else {
		forms = append(forms, models.ProductForm{})
	}
	if inForce.ProductID != nil && before.Pack != nil {
		forms = append(forms, before)
	}
	for _, form := range forms {
		list, err := k.characteristics(grade, form)
		if err != nil {
			return f, err
		}
		f.began = append(f.began, byResult(list))
	}
	return f, nil
}

// packGrade is the grade whose limits a specification is held against.
func (k Kind) packGrade(named ...string) string {
	for _, grade := range named {
		if slices.Contains(k.Grades, grade) {
			return grade
		}
	}
	return k.Grades[0]
}

// merged is a limit as it holds on the product.
func (f packFollows) merged(l models.Limit) models.Limit {
	o, known := f.own[l.Result]
	if !known {
		return l
	}
	l.Low = f.side(l, o, lowSide, 1)
	l.High = f.side(l, o, highSide, -1)
	return l
}

func lowSide(l models.Limit) string  { return l.Low }
func highSide(l models.Limit) string { return l.High }

// side is one side of a limit; tighter is 1 where the higher asks for more.
func (f packFollows) side(l, own models.Limit, of func(models.Limit) string, tighter int) string {
	text, follows := of(l), of(own)
	switch value, err := measure.Parse(text); {
	case sameLimit(text, follows):
		return text
	case !f.edited(l, of):
		return follows
	case err == nil && f.bound && l.Result == "ocv_lowest" && tighter > 0 && value.Cmp(f.most) > 0:
		return follows
	case f.model && looser(text, follows, tighter):
		return follows
	}
	return text
}

func (f packFollows) edited(l models.Limit, of func(models.Limit) string) bool {
	return !slices.ContainsFunc(f.began, func(began map[string]models.Limit) bool {
		b, known := began[l.Result]
		return known && sameLimit(of(b), of(l))
	})
}

// LooserThanModel says what the block model of a pack asks for where a limit is
// looser than that: each side empty where it is not. A pack that names no model is
// held against none.
func (k Kind) LooserThanModel(form models.ProductForm, grade string, l models.Limit) (low, high string, err error) {
	if form.Pack == nil || len(form.Pack.Limits) == 0 {
		return "", "", nil
	}
	own, err := k.characteristics(k.packGrade(grade), form)
	if err != nil {
		return "", "", err
	}
	o := byResult(own)[l.Result]
	if looser(l.Low, o.Low, 1) {
		low = o.Low
	}
	if looser(l.High, o.High, -1) {
		high = o.High
	}
	return low, high, nil
}

// looser says whether one side of a limit lets through what another does not; none
// is looser than any.
func looser(text, than string, tighter int) bool {
	want, err := measure.Parse(than)
	if err != nil {
		return false
	}
	is, err := measure.Parse(text)
	return err != nil || is.Cmp(want)*tighter < 0
}

// mostRested is the voltage above which no block of a pack is a rested one.
func mostRested(p models.PackForm) (measure.Decimal, bool) {
	if !pack.Chemistry(p.Chemistry).LeadAcid() {
		return measure.Decimal{}, false
	}
	most, err := measure.Round(pack.Reading{Cells: p.Cells, FullV: fullVolts(PackBlock(p))}.SurfaceLimit(), 4)
	return most, err == nil
}

func byResult(list []models.Characteristic) map[string]models.Limit {
	limits := map[string]models.Limit{}
	for _, c := range list {
		for _, l := range c.Results {
			limits[l.Result] = l
		}
	}
	return limits
}

func sameLimit(a, b string) bool {
	x, errX := measure.Parse(a)
	y, errY := measure.Parse(b)
	if errX != nil || errY != nil {
		return a == b
	}
	return x.Cmp(y) == 0
}
