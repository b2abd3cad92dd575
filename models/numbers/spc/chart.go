package spc

import "errors"

const (
	// FewestForLimits is how many points a chart needs before it draws limits:
	// from fewer, the spread of the limits themselves is too large to act on.
	FewestForLimits = 20
	// FewestForFirmLimits is how many it needs before the limits stop being
	// provisional (Quesenberry, Journal of Quality Technology 25, 1993, asks for
	// more still where the values are single ones).
	FewestForFirmLimits = 50
)

// ErrKind: no chart of that name.
var ErrKind = errors.New("unknown kind of chart")

// Data is what a chart is drawn from, in the order in time.
type Data struct {
	Values []float64
	// Resolution is the step of the instrument in the unit of the values, 0
	// when it is not known.
	Resolution float64
}

// Chart is a control chart ready to draw: it names every line and says in codes
// what has to be admitted about it. Words come from the message catalogue.
type Chart struct {
	Kind        string // The name in the table of charts.
	Scale       Scale
	ScaleReason string // Why that scale, one of the codes below.
	Panels      []Panel
	// Sigma is the spread of the process that the limits rest on, by
	// SigmaEstimator; on the logarithmic scale it is one of logarithms.
	Sigma          float64
	SigmaEstimator string
	Facts          Facts
}

// Scale is the scale on which centre and limits were found.
type Scale string

// The scales.
const (
	AsMeasured  Scale = "as_measured"
	Logarithmic Scale = "logarithmic" // Found on logarithms, shown in the unit of the values.
)

// Why a chart uses its scale.
const (
	// ScaleAsAsked: the chart is one of the values as measured.
	ScaleAsAsked = "as_asked"
	// ScalePositiveSkewed: the values are positive with a long upper tail, as a
	// run-out is; on their logarithms the limits fit both sides.
	ScalePositiveSkewed = "positive_skewed"
	// ScaleNotPositive: logarithms were asked for, but a value is not above 0.
	ScaleNotPositive = "value_not_positive"
)

// How sigma was found.
const (
	// MeanMovingRange: mean moving range of two neighbours over d2(2) =
	// 2/sqrt(pi).
	MeanMovingRange = "mean_moving_range_over_d2"
)

// Panel is one of the strips of a chart, above one common axis of points.
type Panel struct {
	Name   string // What is plotted, one of the codes below.
	First  int    // Index in the data of the first point: 1 for moving ranges.
	Points []float64
	// Centre, Low and High have one value per point, for charts whose limits
	// vary. Low or High is nil where there is no limit on that side; both are nil
	// when the chart should have none, and Facts say why.
	Centre, Low, High []float64
	Signals           []Signal
}

// What a panel plots.
const (
	PanelValues      = "values"
	PanelMovingRange = "moving_range" // Difference of neighbours, in the unit of the values.
	PanelMovingRatio = "moving_ratio" // Greater over lesser of two neighbours, from 1 upward.
)

// Signal is a point, or the end of a run of points, that the process by itself
// would hardly give.
type Signal struct {
	Index int    // In the data.
	Rule  string // Code of the rule, in worded form.
	Side  Side
	// Values go into the words: value, limit, centre.
	Values map[string]float64
}

// Side is the side of the centre line on which a signal lies.
type Side string

// The sides.
const (
	SideHigh Side = "high"
	SideLow  Side = "low"
)
