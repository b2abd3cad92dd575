package models

import (
	"strings"
	"time"
)

// Specification is the numbered, immutable revision of the characteristics
// and limits of a family or, where ProductID is set, of one product.
type Specification struct {
	ID              string `gorm:"primaryKey"`
	FamilyID        string
	ProductID       *string
	Revision        int
	Grade           string // fine, standard, utility, minimum; A, B; or "own"
	Rule            string // conformity.Rule: simple, or guarded; a limit may have one of its own
	GuardFactor     string // r: guard band over expanded uncertainty
	AppliesToStock  bool
	Characteristics []Characteristic `gorm:"serializer:json"`
	Reason          string
	CreatedAt       time.Time
	CreatedBy       string
}

// Forms of a characteristic.
const (
	Measured = "measured"
	Counted  = "counted"
	Ticked   = "ticked"
	Chosen   = "chosen"
)

// Characteristic is one property of an item: how it is read and which results
// follow from the readings.
type Characteristic struct {
	Code       string   `json:"code"` // lateral_runout; the kind of item knows it
	Form       string   `json:"form"`
	Unit       string   `json:"unit,omitempty"`       // of its results
	Units      []string `json:"units,omitempty"`      // a reading may be typed in
	Methods    []string `json:"methods,omitempty"`    // enough for a verdict
	Instrument string   `json:"instrument,omitempty"` // kind of instrument it takes
	Hundredths bool     `json:"hundredths,omitempty"` // the keypad's 12 is 0.12
	Sample     []int    `json:"sample,omitempty"`     // data indices of the method sample
	Choices    []string `json:"choices,omitempty"`
	Results    []Limit  `json:"results"`
}

// Limit is what a specification asks of one result. Low, High, Warn and U are
// decimal text in Unit, empty when there is none.
type Limit struct {
	Result   string   `json:"result"` // code of the result: lateral_tir
	Unit     string   `json:"unit,omitempty"`
	Decimals int      `json:"decimals"` // stored; see Printed for how many are printed
	Low      string   `json:"low,omitempty"`
	High     string   `json:"high,omitempty"`
	Warn     string   `json:"warn,omitempty"`     // above it a remark, never a verdict
	U        string   `json:"u,omitempty"`        // expanded uncertainty, about 95 %, typed until a budget replaces it
	Required []string `json:"required,omitempty"` // methods under which this result must be there
	// Rule and GuardFactor are of this result alone; without them it is judged by
	// the specification's.
	Rule        string `json:"rule,omitempty"`
	GuardFactor string `json:"guard_factor,omitempty"`
	Budget      string `json:"budget,omitempty"` // id of the uncertainty budget that U was taken from
}

// RuleOf is the decision rule of a limit with its guard factor: its own, or the
// specification's.
func (s *Specification) RuleOf(l Limit) (rule, factor string) {
	if l.Rule != "" {
		return l.Rule, l.GuardFactor
	}
	return s.Rule, s.GuardFactor
}

// HasLimit says whether the result is judged at all.
func (l Limit) HasLimit() bool { return l.Low != "" || l.High != "" }

// Characteristic finds one by its code.
func (s *Specification) Characteristic(code string) (Characteristic, bool) {
	for _, c := range s.Characteristics {
		if c.Code == code {
			return c, true
		}
	}
	return Characteristic{}, false
}

// Printed is how many decimals of a result are printed: two fewer than are stored,
// or as many as its limits and its uncertainty have, where those have more. What is
// read together in one unit is printed alike, as it is compared.
func (c Characteristic) Printed(l Limit) int {
	decimals := l.Decimals - 2
	for _, r := range c.Results {
		if r.Unit != l.Unit {
			continue
		}
		for _, text := range []string{r.Low, r.High, r.U} {
			_, fraction, _ := strings.Cut(text, ".")
			decimals = max(decimals, len(fraction))
		}
	}
	return max(0, min(decimals, l.Decimals))
}

// Limit finds the limit of a result and the characteristic it belongs to.
func (s *Specification) Limit(result string) (Limit, Characteristic, bool) {
	for _, c := range s.Characteristics {
		for _, l := range c.Results {
			if l.Result == result {
				return l, c, true
			}
		}
	}
	return Limit{}, Characteristic{}, false
}
