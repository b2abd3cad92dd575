package models

import (
	"errors"
	"fmt"
	"strings"
)

// The few errors everyone shares; test with errors.Is.
var (
	// ErrNotFound says that no record answers to the key asked for.
	ErrNotFound = errors.New("not found")
	// ErrConflict says that a record under this key exists with other content,
	// or that it was changed by somebody else since it was read.
	ErrConflict = errors.New("conflict")
	// ErrLoop says that something would be built into itself.
	ErrLoop = errors.New("built into itself")
	// ErrForbidden says that this person or device may not do this.
	ErrForbidden = errors.New("forbidden")
	// ErrUnauthenticated says that nobody is signed in, or that a secret was wrong.
	ErrUnauthenticated = errors.New("not signed in")
)

// Problem is one thing wrong with one field of an input. Code and Values find
// the sentence in the catalogue of words; Field is a path such as
// "sets[1].values[7]".
type Problem struct {
	Field  string            `json:"field"`
	Code   string            `json:"code"`
	Values map[string]string `json:"values,omitempty"`
}

// InvalidError carries every problem of an input at once, so that a form can
// show them all. Nothing is stored when it is returned.
type InvalidError struct{ Problems []Problem }

func (e *InvalidError) Error() string {
	parts := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		parts[i] = fmt.Sprintf("%s: %s", p.Field, p.Code)
		if p.Code == "unknown_field" { // A name that somebody sent may be anything, and this stands in logs.
			parts[i] = p.Code
		}
	}
	return "invalid input: " + strings.Join(parts, "; ")
}

// Add appends a problem; values are name, value pairs.
//
// It stands in a thousand places and is hardly ever reached: written out in each of
// them, as the compiler would do, it makes the program half a megabyte larger.
//
//go:noinline
func (e *InvalidError) Add(field, code string, values ...string) {
	p := Problem{Field: field, Code: code}
	for i := 0; i+1 < len(values); i += 2 {
		if p.Values == nil {
			p.Values = map[string]string{}
		}
		p.Values[values[i]] = values[i+1]
	}
	e.Problems = append(e.Problems, p)
}

// TooEarly adds a problem where a year lies before anything that the log holds, and
// says whether it does.
func (e *InvalidError) TooEarly(field string, year int) bool {
	if year < EarliestYear {
		e.Add(field, "day_too_early", "year", fmt.Sprint(EarliestYear))
	}
	return year < EarliestYear
}

// OrNil returns e when it holds a problem, nil otherwise.
func (e *InvalidError) OrNil() error {
	if len(e.Problems) == 0 {
		return nil
	}
	return e
}

// Invalid is an InvalidError with one problem; values are name, value pairs.
//
//go:noinline
func Invalid(field, code string, values ...string) error {
	e := &InvalidError{}
	e.Add(field, code, values...)
	return e
}

// RefusedError says that a well-formed request cannot be carried out in the
// present state of things (a certificate for an item on hold), and why, one
// reason per line.
type RefusedError struct{ Reasons []Remark }

func (e *RefusedError) Error() string {
	codes := make([]string, len(e.Reasons))
	for i, r := range e.Reasons {
		codes[i] = r.Code
	}
	return "refused: " + strings.Join(codes, ", ")
}

// Remark is something worth saying about a record, as a code with values; the
// words come from the catalogue.
type Remark struct {
	Code   string            `json:"code"`
	Values map[string]string `json:"values,omitempty"`
}

// Codes are the codes of remarks, joined by commas, as a value of another.
func Codes(remarks []Remark) string {
	codes := make([]string, len(remarks))
	for i, r := range remarks {
		codes[i] = r.Code
	}
	return strings.Join(codes, ",")
}

// NewRemark makes a remark; values are name, value pairs.
//
//go:noinline
func NewRemark(code string, values ...string) Remark {
	r := Remark{Code: code}
	for i := 0; i+1 < len(values); i += 2 {
		if r.Values == nil {
			r.Values = map[string]string{}
		}
		r.Values[values[i]] = values[i+1]
	}
	return r
}

// ErrStale says that what a change was decided on has changed meanwhile: read
// again and decide again.
var ErrStale = fmt.Errorf("stale: %w", ErrConflict)

// ErrNoKey says that there is no key to sign with.
var ErrNoKey = errors.New("no signing key at hand")
