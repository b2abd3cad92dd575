package spc

const (
	// FewestForLimits is how many points a chart needs before it draws limits:
	// from fewer, the spread of the limits themselves is too large to act on.
	FewestForLimits = 20
	// FewestForFirmLimits is how many it needs before the limits stop being
	// provisional (Quesenberry, Journal of Quality Technology 25, 1993, asks for
	// more still where the values are single ones).
	FewestForFirmLimits = 50
)

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
	// Baseline is how many of the first points the limits rest on, without the
	// Excluded ones: all of them, some, or none where limits frozen earlier
	// judge these points.
	Baseline int
	Excluded []Exclusion
}

// Scale is the scale on which centre and limits were found.
type Scale string

// The scales.
const (
	AsMeasured  Scale = "as_measured"
	Logarithmic Scale = "logarithmic" // Found on logarithms, shown in the unit of the values.
	SquareRoot  Scale = "square_root" // Found on square roots, shown in the unit of the values.
)

// Why a chart uses its scale.
const (
	// ScaleAsAsked: the chart is one of the values as measured.
	ScaleAsAsked = "as_asked"
	// ScalePositiveSkewed: the values are positive with a long upper tail, as a
	// run-out is; on their logarithms the limits fit both sides.
	ScalePositiveSkewed = "positive_skewed"
	// ScaleFromZero: the values are amounts that may well be 0 and have a long
	// upper tail, as the distance from a target has; on their square roots the
	// limits fit both sides, and 0 has one too.
	ScaleFromZero = "from_zero"
	// ScaleNotPositive: logarithms were asked for, but a value is not above 0.
	ScaleNotPositive = "value_not_positive"
)

// How sigma was found.
const (
	// MeanMovingRange: mean moving range of two neighbours over d2(2) =
	// 2/sqrt(pi).
	MeanMovingRange = "mean_moving_range_over_d2"
	// MeanRange: mean range of the subgroups over d2(n).
	MeanRange = "mean_range_over_d2"
	// MeanSD: mean standard deviation of the subgroups over c4(n).
	MeanSD = "mean_sd_over_c4"
	// PooledSD: root of the sum of squares within subgroups over their degrees
	// of freedom, without a correction for bias.
	PooledSD = "pooled_sd"
	// BinomialSpread: sqrt(p (1-p)), of one item; BinomialTails: the same, with
	// limits by the exact tails of the binomial distribution.
	BinomialSpread = "binomial"
	BinomialTails  = "binomial_exact"
	// PoissonSpread: root of the mean count on one unit; PoissonTails: the same,
	// with limits by the exact tails of the Poisson distribution.
	PoissonSpread = "poisson"
	PoissonTails  = "poisson_exact"
	// Given: known beforehand, not found from the points.
	Given = "given"
	// SampleCovariance and PooledCovariance of several results.
	SampleCovariance = "sample_covariance"
	PooledCovariance = "pooled_covariance"
	// OfEachGroup: every product has its own.
	OfEachGroup = "of_each_group"
	// FittedShape: quantiles of a fitted distribution, see the parameters.
	FittedShape = "fitted_shape"
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
	// Scores are the points in standard deviations from the centre, for the run
	// rules, on charts that know them better than by thirds of the way to a limit.
	Scores  []float64
	Signals []Signal

	exact bool // The limits are exact tails of counts.
}

// What a panel plots.
const (
	PanelValues       = "values"
	PanelMovingRange  = "moving_range" // Difference of neighbours, in the unit of the values.
	PanelMovingRatio  = "moving_ratio" // Greater over lesser of two neighbours, from 1 upward.
	PanelMeans        = "means"
	PanelMedians      = "medians"
	PanelRanges       = "ranges"
	PanelSDs          = "standard_deviations"
	PanelItemMeans    = "item_means"
	PanelWithinItems  = "within_items" // Standard deviation of the readings of an item.
	PanelProportions  = "proportions"
	PanelCounts       = "counts"
	PanelRates        = "rates"
	PanelSmoothed     = "smoothed_mean"
	PanelSumAbove     = "sum_above" // Cumulative sum of what lies above the target.
	PanelSumBelow     = "sum_below" // The same below it, shown downward from 0.
	PanelDistance     = "distance"  // Squared statistical distance from the means.
	PanelRatios       = "ratios"    // To the baseline median of the product.
	PanelDeviations   = "deviations"
	PanelStandardised = "standardised"
)

// Signal is a point, or the end of a run of points, that the process by itself
// would hardly give.
type Signal struct {
	Index int    // In the data, of the point that first completes the pattern.
	Rule  string // Code of the rule, in worded form.
	Side  Side
	// First and Last are the indices of the first and the last point of the
	// pattern, which goes on behind Index for as long as the rule stays met.
	First, Last int
	// Points are the indices of the points that count, where these are not all
	// from First to Last: two out of three.
	Points []int
	// Values go into the words: value, limit, centre.
	Values map[string]float64
}

// Side is the side of the centre line on which a signal lies, or the way in which
// its points move.
type Side string

// The sides.
const (
	SideHigh   Side = "high"
	SideLow    Side = "low"
	SideEither Side = "either" // The pattern has points on both, or on neither.
)
