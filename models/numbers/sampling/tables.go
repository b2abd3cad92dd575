package sampling

import (
	"math"
	"slices"
	"strings"
)

// aqls are the columns of the master tables: percent nonconforming, or
// nonconformities per hundred units; above 10 the latter only.
var aqls = []float64{
	0.010, 0.015, 0.025, 0.040, 0.065, 0.10, 0.15, 0.25, 0.40, 0.65, 1.0, 1.5, 2.5,
	4.0, 6.5, 10, 15, 25, 40, 65, 100, 150, 250, 400, 650, 1000,
}

// The cells of a master table that are not an acceptance number.
const (
	arrowDown = "v" // Use the first plan below.
	arrowUp   = "^" // Use the first plan above.
	unsettled = "?" // Our sources do not agree on the arrow.
	noCell    = "." // The row has no such column.
)

// row is one line of a master table.
type row struct {
	letter Letter
	size   int
	cells  string // One a column of aqls, left to right.
}

// cell returns what stands in a column.
func (r row) cell(column int) string { return strings.Fields(r.cells)[column] }

// normalTable is table II-A of MIL-STD-105E (1989, public domain), single
// sampling plans for normal inspection: the acceptance number, the rejection
// number being one more, or an arrow.
var normalTable = []row{
	{"A", 2, "v v v v v v v v v v v v v v 0 v v 1 2 3 5 7 10 14 21 30"},
	{"B", 3, "v v v v v v v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 30 44"},
	{"C", 5, "v v v v v v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 30 44 ^"},
	{"D", 8, "v v v v v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 30 44 ^ ^"},
	{"E", 13, "v v v v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 30 44 ^ ^ ^"},
	{"F", 20, "v v v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^"},
	{"G", 32, "v v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^"},
	{"H", 50, "v v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^"},
	{"J", 80, "v v v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"K", 125, "v v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"L", 200, "v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"M", 315, "v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"N", 500, "v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"P", 800, "v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"Q", 1250, "0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"R", 2000, "^ ^ 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
}

// tightenedTable is table II-B of the same, for tightened inspection. Row S has
// one cell, for the arrow above it.
var tightenedTable = []row{
	{"A", 2, "v v v v v v v v v v v v v v v 0 v v 1 2 3 5 8 12 18 27"},
	{"B", 3, "v v v v v v v v v v v v v v 0 v v 1 2 3 5 8 12 18 27 41"},
	{"C", 5, "v v v v v v v v v v v v v 0 v v 1 2 3 5 8 12 18 27 41 ^"},
	{"D", 8, "v v v v v v v v v v v v 0 v v 1 2 3 5 8 12 18 27 41 ^ ^"},
	{"E", 13, "v v v v v v v v v v v 0 v v 1 2 3 5 8 12 18 27 41 ^ ^ ^"},
	{"F", 20, "v v v v v v v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^"},
	{"G", 32, "v v v v v v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^"},
	{"H", 50, "v v v v v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^"},
	{"J", 80, "v v v v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"K", 125, "v v v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"L", 200, "v v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"M", 315, "v v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"N", 500, "v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"P", 800, "v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"Q", 1250, "v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"R", 2000, "0 ? v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^ ^"},
	{"S", 3150, ". . 1 . . . . . . . . . . . . . . . . . . . . . . ."},
}

// AQLs returns the acceptable quality limits that the tables know, in percent.
func AQLs() []float64 { return slices.Clone(aqls) }

// columnOf returns the column of an AQL, which must be one of the tables'.
func columnOf(aql float64) (int, error) {
	for i, known := range aqls {
		if math.Abs(aql-known) <= 1e-9*known {
			return i, nil
		}
	}
	return 0, refuse("aql", aql, "must be 1, 1.5, 2.5, 4 or 6.5 times a power of ten, from 0.01 to 1000")
}
