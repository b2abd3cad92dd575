package gauge

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tracewright/models/numbers/measure"
)

// figuresOfUncertainty is how many significant figures of an uncertainty are
// printed; more say nothing (JCGM 100:2008, 7.2.6).
const figuresOfUncertainty = 2

// Reported returns a value and its uncertainty, above 0, as they are printed: the
// uncertainty with two significant figures, the value to the same place, both to
// the nearest and an exact half to the even digit. It is for print only; verdicts
// are decided on what was not rounded.
func Reported(value, uncertainty float64) (v, u measure.Decimal, err error) {
	if err := checkAll(checkFinite("value", value), checkPositive("uncertainty", uncertainty)); err != nil {
		return measure.Decimal{}, measure.Decimal{}, err
	}
	// The exponent after rounding: 0.0996 is printed as 0.10.
	_, exponent, _ := strings.Cut(strconv.FormatFloat(uncertainty, 'e', figuresOfUncertainty-1, 64), "e")
	places, err := strconv.Atoi(exponent)
	if err != nil {
		return measure.Decimal{}, measure.Decimal{}, about("uncertainty", fmt.Errorf("exponent of %v: %w", uncertainty, err))
	}
	decimals := figuresOfUncertainty - 1 - places
	if decimals < 0 {
		step := math.Pow10(-decimals)
		value, uncertainty, decimals = math.RoundToEven(value/step)*step, math.RoundToEven(uncertainty/step)*step, 0
	}
	if v, err = measure.Round(value, decimals); err != nil {
		return measure.Decimal{}, measure.Decimal{}, about("value", err)
	}
	if u, err = measure.Round(uncertainty, decimals); err != nil {
		return measure.Decimal{}, measure.Decimal{}, about("uncertainty", err)
	}
	return v, u, nil
}
