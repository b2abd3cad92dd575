package kinds

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/ident"
)

// Kind is one kind of item.
type Kind struct {
	Name   string     // models.KindWheel
	Letter ident.Kind // first character of its serials
	Stages []Stage    // in the order of the work; the first that judges is suggested
	Grades []string   // that a default specification knows, the suggested one first

	// characteristics makes the default specification for a grade.
	characteristics func(grade string, form models.ProductForm) ([]models.Characteristic, error)
	// place checks where a set's readings were taken and fills in the usual
	// places where none are named. A problem is returned as code and values.
	place func(form models.ProductForm, set *Set) *models.Remark
	// reduce turns checked sets into values.
	reduce func(in Input) (Reduction, error)
	// fit gives the characteristics of a family's specification as they are read
	// on one of its products; nil leaves them as they are.
	fit func(form models.ProductForm, list []models.Characteristic) []models.Characteristic
}

// Stage is a stage of the work, and whether its inspection moves the item on.
type Stage struct {
	Name   string
	Judges bool // a pass makes the item conforming
}

// Set is one reading set, parsed: values in Unit, the characteristic's own, or
// the answer of a tick.
type Set struct {
	Characteristic models.Characteristic
	Method         string
	Manner         string
	Unit           measure.Unit
	Index          []models.Position
	Values         []measure.Decimal
	Answer         string        // of a ticked or chosen characteristic
	Masks          []models.Mask // stations without a value, in the order of the rim
}

// Input is what a kind reduces.
type Input struct {
	Form       models.ProductForm
	Stage      string
	Conditions models.Conditions
	Sets       []Set
}

// Value is one computed result, not yet judged.
type Value struct {
	Code     string
	Position string
	Value    measure.Decimal
	Answer   string // instead of Value, of a tick or a choice
	Unit     measure.Unit
	Method   string
	Readings int
	Detail   map[string]string
}

// Reduction is what the readings of one inspection say.
type Reduction struct {
	Values  []Value
	Remarks []models.Remark
	// Provisional: the readings may be judged, marked as provisional.
	Provisional bool
	// Unjudged: the readings are kept, but are not what the limits are meant
	// for (a voltage on the charger), so nothing is judged.
	Unjudged bool
}

// Catalogue lists the kinds.
func Catalogue() []Kind { return []Kind{wheelKind, packKind, blockKind, kitKind} }

// Named finds a kind by its name.
//
//go:noinline
func Named(name string) (Kind, bool) {
	for _, k := range Catalogue() {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

// Judged is the newest inspection that stands at a stage that judges, of those of an
// item, newest first: what was found last counts, never an earlier pass. nil for none.
func (k Kind) Judged(inspections []models.Inspection) *models.Inspection {
	for i, x := range inspections {
		if stage, known := k.Stage(x.Stage); x.SupersededBy == nil && known && stage.Judges {
			return &inspections[i]
		}
	}
	return nil
}

// Stage finds a stage of the kind.
func (k Kind) Stage(name string) (Stage, bool) {
	for _, s := range k.Stages {
		if s.Name == name {
			return s, true
		}
	}
	return Stage{}, false
}

// SuggestedStage is the first stage whose inspection judges the item.
func (k Kind) SuggestedStage() string {
	for _, s := range k.Stages {
		if s.Judges {
			return s.Name
		}
	}
	return k.Stages[0].Name
}

// DefaultSpecification is what the shop may start from: limits of common
// practice for a grade, to be edited.
func (k Kind) DefaultSpecification(grade string, form models.ProductForm) ([]models.Characteristic, error) {
	for _, g := range k.Grades {
		if g == grade {
			return k.characteristics(grade, form)
		}
	}
	return nil, models.Invalid("grade", "unknown_grade", "grade", grade)
}

// Place checks where the readings of a set were taken and fills in the usual
// places; nil is good.
func (k Kind) Place(form models.ProductForm, set *Set) *models.Remark { return k.place(form, set) }

// Fit gives the characteristics of a specification as they are read on a
// product: a family's sample of spokes may name one that a wheel of fewer holes
// does not have.
func (k Kind) Fit(form models.ProductForm, list []models.Characteristic) []models.Characteristic {
	if k.fit == nil {
		return list
	}
	return k.fit(form, list)
}

// Reduce turns checked sets into values. Its error is one of reading sets that
// do not belong together; it names the characteristic.
func (k Kind) Reduce(in Input) (Reduction, error) { return k.reduce(in) }

// find gives the set of a characteristic that says most: the first of the
// methods named that is there.
func (in Input) find(code string, methods ...string) *Set {
	for _, m := range methods {
		for i := range in.Sets {
			if in.Sets[i].Characteristic.Code == code && in.Sets[i].Method == m {
				return &in.Sets[i]
			}
		}
	}
	return nil
}

// ReadingError says that the readings of one characteristic cannot be used,
// as a code with values.
type ReadingError struct {
	Characteristic string
	Method         string
	Remark         models.Remark
}

func (e *ReadingError) Error() string {
	return fmt.Sprintf("readings of %s: %s", e.Characteristic, e.Remark.Code)
}

func unusable(s *Set, code string, values ...string) error {
	return &ReadingError{Characteristic: s.Characteristic.Code, Method: s.Method, Remark: models.NewRemark(code, values...)}
}

// decimalsOf is how many decimals the specification stores of a result.
func (s *Set) decimalsOf(result string, otherwise int) int {
	for _, l := range s.Characteristic.Results {
		if l.Result == result {
			return l.Decimals
		}
	}
	return otherwise
}

// ticks passes the ticked characteristics through as values.
func ticks(in Input) []Value {
	var values []Value
	for _, s := range in.Sets {
		if s.Characteristic.Form == models.Ticked || s.Characteristic.Form == models.Chosen {
			values = append(values, Value{Code: s.Characteristic.Code, Answer: s.Answer, Unit: measure.One, Method: s.Method, Readings: 1})
		}
	}
	return values
}

func ticked(code string) models.Characteristic {
	return models.Characteristic{Code: code, Form: models.Ticked, Methods: []string{models.Whole},
		Results: []models.Limit{{Result: code, Required: []string{models.Whole}}}}
}

// once checks that every wanted position is named exactly once.
func once(index, wanted []models.Position) *models.Remark {
	seen := make(map[models.Position]bool, len(index))
	for _, p := range index {
		if seen[p] {
			r := models.NewRemark("index_twice", "position", p.Shown())
			return &r
		}
		seen[p] = true
	}
	for _, p := range wanted {
		if !seen[p] {
			r := models.NewRemark("position_missing", "position", p.Shown())
			return &r
		}
	}
	if len(index) > len(wanted) {
		r := models.NewRemark("too_many_readings", "got", fmt.Sprint(len(index)), "want", fmt.Sprint(len(wanted)))
		return &r
	}
	return nil
}

func count(got, wanted int) *models.Remark {
	code := "too_few_readings"
	if got > wanted {
		code = "too_many_readings"
	}
	r := models.NewRemark(code, "got", fmt.Sprint(got), "want", fmt.Sprint(wanted))
	return &r
}

// Example is the default specification of some product of the kind, with
// everything that a product may have.
func (k Kind) Example() ([]models.Characteristic, error) {
	form := models.ProductForm{}
	if k.Name == models.KindPack {
		form.Pack = &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 2, Blocks: 4}
	}
	return k.characteristics(k.Grades[0], form)
}
