package models

import (
	"cmp"
	"time"
)

// Compare orders keys, so that whoever writes several charts locks them in one
// order.
func (k ChartKey) Compare(other ChartKey) int {
	return cmp.Or(cmp.Compare(k.FamilyID, other.FamilyID), cmp.Compare(k.ProductID, other.ProductID), cmp.Compare(k.Place, other.Place), cmp.Compare(k.Result, other.Result))
}

// Meets says whether a value may lie on charts of both keys: what is empty in one
// of them stands for all.
func (k ChartKey) Meets(other ChartKey) bool {
	meets := func(a, b string) bool { return a == "" || b == "" || a == b }
	return meets(k.FamilyID, other.FamilyID) && meets(k.ProductID, other.ProductID) && meets(k.Place, other.Place) && meets(k.Result, other.Result)
}

// KeptChart says of a watched chart what its stored signals know.
type KeptChart struct {
	ChartKey
	Seen       int64 // entries of the sealed log that were taken in
	ComputedAt time.Time
}

// ChartMark is what all watched charts have taken in.
type ChartMark struct {
	Seen  int64  // entries of the sealed log
	Rules string // what they were judged by
}

// ChartSignals are all signals of one watched chart, as they were computed.
type ChartSignals struct {
	KeptChart
	Signals []ChartSignal
}
