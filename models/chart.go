package models

import "time"

// ChartKey says what a control chart shows: one result of a family, of one of its
// products or of all, at one place or at all.
type ChartKey struct {
	FamilyID  string
	ProductID string // empty: every product of the family
	Place     string // empty: every stand or bench
	Result    string // code: lateral_tir
}

// ChartSignal is a point of a watched chart that the process by itself would
// hardly give. It is derived: whoever computes the chart again finds the same. A
// cause that somebody gives names it by its key, rule, side and inspection, and so
// outlives it.
type ChartSignal struct {
	ChartKey
	Rule         string // code of numbers/spc: beyond_limit, smoothed_mean
	Side         string
	InspectionID string // of the point that first completes the pattern
	ItemID       string
	Serial       string
	MeasuredAt   time.Time
	Since        time.Time // best estimate of when it began; that of the point where there is none
	Reason       Remark    // the rule's code with value, limit and centre, as on the chart
	Settled      bool      // somebody gave its cause
}

// Name tells the signals of a chart apart: its rule, side and inspection.
func (s ChartSignal) Name() string { return SignalName(s.Rule, s.Side, s.InspectionID) }

// SignalName is the name of a signal by its parts.
func SignalName(rule, side, inspection string) string { return rule + "." + side + "." + inspection }
