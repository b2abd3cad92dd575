package spc

import (
	"errors"
	"fmt"

	"tracewright/models/numbers/stats"
)

var (
	// ErrKind: no chart of that name.
	ErrKind = errors.New("unknown kind of chart")
	// ErrInput: the chart is drawn from another kind of data.
	ErrInput = errors.New("chart of other data")
	// ErrSizesDiffer: subgroups of different sizes on a chart that needs equal ones.
	ErrSizesDiffer = errors.New("sizes differ")
	// ErrOneItem: several readings of one item given as a subgroup of items. How
	// they vary says nothing about how items do; the three-way chart takes them.
	ErrOneItem = errors.New("readings of one item are no subgroup, the three-way chart takes them")
	// ErrCount: a count that is negative or above its size, or a size that is not
	// above 0.
	ErrCount = errors.New("no possible count")
	// ErrNotPositive: a value at or below 0 on a chart of logarithms or ratios.
	ErrNotPositive = errors.New("not above 0")
	// ErrSetting: a setting of the chart outside its range.
	ErrSetting = errors.New("setting out of range")
	// ErrBaseline: a baseline that does not fit the points.
	ErrBaseline = errors.New("baseline does not fit")
	// ErrLimits: frozen limits that do not fit the chart.
	ErrLimits = errors.New("limits do not fit")
	// ErrSingular: results that determine one another, so that their covariance
	// cannot be inverted.
	ErrSingular = errors.New("results are not independent of one another")
)

// at names the argument that an error is about, such as subgroups[3].
func at(argument string, err error) error { return &stats.ArgumentError{Argument: argument, Err: err} }

// wrong is the error of an argument, one of those above with the particulars.
func wrong(argument string, of error, format string, values ...any) error {
	return at(argument, fmt.Errorf(format+": %w", append(values, of)...))
}

func element(name string, i int) string { return fmt.Sprintf("%s[%d]", name, i) }
