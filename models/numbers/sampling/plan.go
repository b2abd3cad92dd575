package sampling

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"tracewright/models/numbers/stats"
)

// Severity is how strictly lots are inspected at the time.
type Severity string

// The severities, as [Inspector] changes them.
const (
	Normal       Severity = "normal"
	Tightened    Severity = "tightened"
	Reduced      Severity = "reduced"
	Discontinued Severity = "discontinued" // Inspection stops until the supplier has acted.
)

var (
	// ErrUnsettled: the cell of the table holds an arrow on which our sources do
	// not agree.
	ErrUnsettled = errors.New("no plan is settled in this cell of table II-B of MIL-STD-105E, take the next AQL")
	// ErrNoTable: there are tables for normal and tightened inspection only.
	ErrNoTable = errors.New("only normal and tightened plans are carried")
)

// Plan is a single sampling plan out of the tables.
type Plan struct {
	CodeLetter Letter // Of the lot.
	Letter     Letter // Of the plan; another one where an arrow led there, and the sample size is this one's.
	Severity   Severity
	Single
}

// InspectAll reports whether the sample would be the whole lot, which is then
// inspected piece by piece (MIL-STD-105E, 4.9.3).
func (p Plan) InspectAll(lot int) bool { return p.Size >= lot }

// Lookup returns the plan of a code letter (A to R, without I and O) and an AQL
// in percent, arrows followed. Tables II-A and II-B of MIL-STD-105E.
func Lookup(letter Letter, aql float64, severity Severity) (Plan, error) {
	table := normalTable
	switch severity {
	case Normal:
	case Tightened:
		table = tightenedTable
	default:
		return Plan{}, &stats.ArgumentError{Argument: "severity", Err: ErrNoTable}
	}
	at := slices.IndexFunc(table, func(r row) bool { return r.letter == letter })
	if at < 0 || letter == "S" { // Row S is reached by its arrow only.
		return Plan{}, refuse("letter", shorten(string(letter)), "must be one of A to R, without I and O")
	}
	column, err := columnOf(aql)
	if err != nil {
		return Plan{}, err
	}
	for at >= 0 && at < len(table) {
		switch cell := table[at].cell(column); cell {
		case arrowDown:
			at++
		case arrowUp:
			at--
		default:
			accept, err := strconv.Atoi(cell)
			if err != nil {
				return Plan{}, unsettledCell(letter, aql)
			}
			return Plan{CodeLetter: letter, Letter: table[at].letter, Severity: severity, Single: Single{table[at].size, accept}}, nil
		}
	}
	return Plan{}, unsettledCell(letter, aql)
}

func unsettledCell(letter Letter, aql float64) error {
	return &stats.ArgumentError{Argument: "aql", Err: fmt.Errorf("%v at code letter %s: %w", aql, letter, ErrUnsettled)}
}

// For returns the plan of a lot at a level and an AQL in percent.
func For(lot int, level Level, aql float64, severity Severity) (Plan, error) {
	letter, err := CodeLetter(lot, level)
	if err != nil {
		return Plan{}, err
	}
	return Lookup(letter, aql, severity)
}
