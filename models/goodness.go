package models

import "time"

// MeasuredQuery asks for what was measured first, of each item of a family: the
// first set after relief of wheels, the first final one of packs, what blocks came in
// with. Certified asks for what was certified of them instead.
type MeasuredQuery struct {
	FamilyID  string
	Kind      string // of the family
	ProductID string // empty: every product
	Place     string // empty: every stand or bench
	Result    string // code; empty where all are asked for
	From, To  time.Time
	Limit     int // the newest so many
}

// MeasuredPoint is a value with the limits of the product that it was judged by.
type MeasuredPoint struct {
	InspectionID string
	ItemID       string
	Serial       string
	MeasuredAt   time.Time
	Value        string
	ValueF       float64
	Low, High    string // as judged; empty for none
	LotID, Lot   string // of a block, and its code
}

// ResultShare counts how often one result lay beyond the limits it was judged by; a
// tick lies beyond where it failed.
type ResultShare struct {
	Code   string
	N      int
	Below  int
	Above  int
	Failed int // of results without a value
	Limits int // how many different limits they were judged by
	Low    string
	High   string // one of them
}

// RoundCount is of how many items the first set passed or failed, and of how many it failed.
type RoundCount struct{ Items, More int }

// BlockFall is what a block's voltage did between its first reading and its second,
// at rest and not charged meanwhile.
type BlockFall struct {
	ItemID, Serial string
	LotID, Lot     string
	First, Second  float64 // at 25 degrees, V
	FirstAt        time.Time
	SecondAt       time.Time
}
