package cases

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Tolerance says how near an answer must be. A number is right within Abs or
// within Rel of the expected one; Fields gives an absolute limit by field name,
// at any depth. Without any of these numbers agree to 1e-12 of themselves.
type Tolerance struct {
	Abs    float64            `json:"abs"`
	Rel    float64            `json:"rel"`
	Fields map[string]float64 `json:"fields"`
	// Relative limits for fields whose names hold loglik, and var or cov.
	RelLogLik float64 `json:"rel_loglik"`
	RelVar    float64 `json:"rel_var"`
}

// withoutTolerance is the relative difference that is let pass where a case
// names none.
const withoutTolerance = 1e-12

// influenceTolerance is relative to a number itself or to the largest of its
// array: small entries of an influence column are differences of large ones.
const (
	influenceTolerance = 1e-6
	influenceNothing   = 1e-12 // mm or N: a mean that is nothing but rounding
)

// Differences compares an answer with the expected one and returns what does
// not agree, nothing when all does. The answer may hold more fields.
func Differences(c Case, got []byte, leftOut []LeftOut) []string {
	var want, have any
	for _, part := range []struct {
		raw  []byte
		into *any
	}{{c.Expected, &want}, {got, &have}} {
		d := json.NewDecoder(bytes.NewReader(part.raw))
		d.UseNumber()
		if err := d.Decode(part.into); err != nil {
			return []string{fmt.Sprintf("read %s: %v", part.raw, err)}
		}
	}
	cmp := comparison{c: c, leftOut: leftOut}
	if c.Kind == "prescription" {
		return prescriptionDifferences(cmp, want, have)
	}
	cmp.compare("", "", want, have, 0)
	return cmp.found
}

type comparison struct {
	c       Case
	leftOut []LeftOut
	found   []string
}

func (cmp *comparison) note(path, format string, args ...any) {
	cmp.found = append(cmp.found, strings.TrimPrefix(path, ".")+": "+fmt.Sprintf(format, args...))
}

// compare walks both answers; name is the field the value belongs to, through
// arrays, and largest the greatest size in the array it stands in.
func (cmp *comparison) compare(path, name string, want, got any, largest float64) {
	switch w := want.(type) {
	case map[string]any:
		cmp.compareObject(path, w, got)
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			cmp.note(path, "want an array of %d, got %v", len(w), got)
			return
		}
		for i := range w {
			cmp.compare(fmt.Sprintf("%s[%d]", path, i), name, w[i], g[i], largestOf(w))
		}
	case json.Number:
		g, ok := got.(json.Number)
		if !ok {
			cmp.note(path, "want the number %v, got %v", w, got)
			return
		}
		x, errX := w.Float64()
		y, errY := g.Float64()
		if errX != nil || errY != nil || !cmp.near(name, x, y, largest) && !cmp.sameInDigits(w.String(), y) {
			cmp.note(path, "want %v, got %v", w, g)
		}
	default:
		if want != got {
			cmp.note(path, "want %v, got %v", want, got)
		}
	}
}

func (cmp *comparison) compareObject(path string, want map[string]any, got any) {
	g, ok := got.(map[string]any)
	if !ok {
		cmp.note(path, "want an object, got %v", got)
		return
	}
	for field, value := range want {
		answer, given := g[field]
		switch {
		case given:
			cmp.compare(path+"."+field, field, value, answer, 0)
		case !slices.ContainsFunc(cmp.leftOut, func(l LeftOut) bool { return l.Kind == cmp.c.Kind && l.Field == field }):
			cmp.note(path+"."+field, "missing, and not named in left_out.json")
		}
	}
}

func (cmp *comparison) near(field string, want, got, largest float64) bool {
	if want == got {
		return true
	}
	t := cmp.c.Tolerance
	apart, size := math.Abs(want-got), math.Abs(want)
	if cmp.c.Kind == "influence" {
		return apart <= max(influenceTolerance*max(size, largest), influenceNothing)
	}
	if limit, ok := t.Fields[field]; ok && apart <= limit {
		return true
	}
	if strings.Contains(field, "loglik") && apart <= t.RelLogLik*size {
		return true
	}
	if (strings.Contains(field, "var") || strings.Contains(field, "cov")) && apart <= t.RelVar*size {
		return true
	}
	if t.Abs > 0 || t.Rel > 0 {
		return apart <= t.Abs || apart <= t.Rel*size
	}
	return apart <= withoutTolerance*size
}

// manyDigits is from how many significant digits on a printed number is taken
// for a rounded one.
const manyDigits = 9

// sameInDigits says whether an answer, rounded to the digits of a long printed
// number, is that number. A few numbers are printed with nine digits and asked
// for to 1e-9 of themselves, which their own rounding exceeds (18380/18 =
// 1021.111111... printed as 1021.11111). Short numbers, and cases without a
// relative tolerance, are never compared so.
func (cmp *comparison) sameInDigits(printed string, got float64) bool {
	if cmp.c.Tolerance.Rel <= 0 {
		return false
	}
	mantissa, _, _ := strings.Cut(strings.ToLower(printed), "e")
	digits := strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(mantissa), "0")
	if len(digits) < manyDigits {
		return false
	}
	want, errWant := strconv.ParseFloat(printed, 64)
	rounded, errGot := strconv.ParseFloat(strconv.FormatFloat(got, 'e', len(digits)-1, 64), 64)
	return errWant == nil && errGot == nil && want == rounded
}

func largestOf(array []any) float64 {
	var largest float64
	for _, element := range array {
		if n, ok := element.(json.Number); ok {
			if x, err := n.Float64(); err == nil {
				largest = max(largest, math.Abs(x))
			}
		}
	}
	return largest
}
