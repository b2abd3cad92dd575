package monitor

import (
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// ChartQuery asks for a chart. FamilyID and Result are needed.
type ChartQuery struct {
	FamilyID  string
	ProductID string // empty: all products of the family
	Place     string // empty: all stands
	Result    string // code: lateral_tir
	From, To  time.Time
}

// ChartView is a control chart with everything it has to admit. Points are in
// the order in time; panels and signals refer to them by index.
type ChartView struct {
	Query    ChartQuery
	Family   models.Family
	Product  *models.Product
	Unit     string
	Decimals int // to be shown
	// FirstSets: the points are first sets after relief, one a wheel.
	FirstSets bool
	Points    []Point
	// Truncated: there are older points than the chart takes.
	Truncated bool

	// Kind is the name of the chart in numbers/spc; Scale says whether centre
	// and limits were found on the values or on their logarithms, ScaleReason
	// why (a code).
	Kind        string
	Scale       spc.Scale
	ScaleReason string
	// Panels: the values, and the moving range (or ratio) of neighbours. None
	// while there are fewer than two points.
	Panels         []spc.Panel
	Sigma          float64
	SigmaEstimator string
	// Facts: count, distinct values, lag-1 correlation with its bound,
	// provisional, and why no limits are drawn where none are.
	Facts   spc.Facts
	Signals []Signal
	Needed  int // points before there are limits
}

// Point is one value on the chart.
type Point struct {
	InspectionID string
	ItemID       string
	Serial       string
	MeasuredAt   time.Time
	Value        string // exact, as stored
	ValueF       float64
	Place        string
	PersonID     string
	ProductID    string
}

// Signal is a point that the process by itself would hardly give.
type Signal struct {
	Panel string // values, moving_range, moving_ratio
	Point int    // index in Points
	Side  spc.Side
	// Reason has the code of the rule, and value, limit and centre as text.
	Reason models.Remark
}
