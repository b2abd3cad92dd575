package monitor

import (
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
)

// ChartQuery asks for a chart. FamilyID and Result are needed.
type ChartQuery struct {
	FamilyID  string
	ProductID string // empty: all products of the family
	Place     string // empty: all stands
	Result    string // code: lateral_tir
	From, To  time.Time
	Rules     []string // run rules beside the default two
	Points    int      // the newest so many; 0 is the usual
}

// Key is the chart that is asked for.
func (q ChartQuery) Key() models.ChartKey {
	return models.ChartKey{FamilyID: q.FamilyID, ProductID: q.ProductID, Place: q.Place, Result: q.Result}
}

// ChartView is a control chart with everything it has to admit. Points are in
// the order in time; phases and signals refer to them by index.
type ChartView struct {
	Query         ChartQuery
	Family        models.Family
	Product       *models.Product
	Products      map[string]string // names by id
	Specification models.Specification
	Limit         models.Limit // of the specification, now
	Unit          string
	Decimals      int // to be shown
	// FirstSets: the points are first sets after relief, one a wheel.
	FirstSets bool
	// Grouped says what a point is where it is more than one item: [ByWeek], [ByLot].
	Grouped string
	Points  []Point
	// Truncated: there are older points than the chart takes.
	Truncated bool

	Nature     Nature
	Kind       string // name of the chart in numbers/spc
	KindReason string // code
	// Phases cover the points, one after the other; the last is the present one.
	Phases  []Phase
	Signals []Signal // by their points
	Causes  []models.SignalCause
	Events  []models.Happening
	Design  Design
	// Alone is the mean distance of false alarms, in points, with the rules that
	// were asked for; 0 where none were.
	Alone float64
	// Waiting are products without a centre of their own yet, by name, with how
	// many values they have; their points are not on the chart.
	Waiting map[string]int
	// Lifted is how many values at 0 or below stand on a logarithmic chart as half
	// a step.
	Lifted int
	Needed int // points before there are limits

	Finding Finding
}

// Present is the last phase; of a chart without a point an empty one.
func (v ChartView) Present() Phase {
	if len(v.Phases) == 0 {
		return Phase{Limits: spc.Limits{Facts: spc.Facts{Provisional: true, NoLimits: true, NoLimitsReason: spc.NoLimitsFewPoints}}}
	}
	return v.Phases[len(v.Phases)-1]
}

// Phase is a stretch of the chart with limits of its own.
type Phase struct {
	From, To int // indices of points, To behind the last
	// Baseline is what somebody chose; nil where the first points stand in.
	Baseline *models.ChartBaseline
	Limits   spc.Limits
	// Judged revision of the specification, and whether the limits of this result
	// have changed since.
	Revision, RevisionNow int
	Changed               bool
	// Values and Smoothed have one value a point of the phase. Smoothed is empty
	// where the chart has no smoothed mean.
	Values, Smoothed spc.Panel
	// Within is the spread of the items of each lot, where the points are lots.
	Within spc.Panel
}

// Scaled says whether the phase shows values as they were measured, and not as
// ratios or in standard deviations of their product.
func (p Phase) Scaled() bool {
	return p.Values.Name != spc.PanelRatios && p.Values.Name != spc.PanelStandardised && p.Values.Name != spc.PanelDeviations
}

// Counted is the code of what the phase counts in where that is not the unit of the
// result: how many times the usual value of its product, or standard deviations.
func (p Phase) Counted() string {
	switch {
	case p.Scaled():
		return ""
	case p.Values.Name == spc.PanelRatios:
		return "usual"
	}
	return "sigma"
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

	// Group names a point that is more than one item: the code of a lot, the Monday
	// of a week. Size is how many items, Count how many of them are a no. The other
	// fields are those of the first of them that is a no, or else of the first.
	Group       string
	Size, Count int
	// Began is when the week or the lot did, Ended its newest item was measured.
	Began, Ended time.Time

	readings []float64
	members  map[string]bool // inspections of its items
}

// Has says whether an inspection is that of the point, or of one of its items.
func (p Point) Has(inspection string) bool {
	return p.InspectionID == inspection || p.members[inspection]
}

// What a point is where it is more than one item.
const (
	ByWeek = "week"
	ByLot  = "lot"
)

// Signal is a point that the process by itself would hardly give.
type Signal struct {
	Phase int
	Panel string // of the values, or smoothed_mean
	Point int    // index in Points: where it was raised
	// First is where it began, Last where it ended or the newest point.
	First, Last int
	// Raised and Began are those points, also where they lie before the shown ones:
	// Point and First are then the first shown one.
	Raised, Began Point
	Open          bool // it goes on at the newest point
	Covered       bool // a signal of the smoothed mean says the same
	Side          spc.Side
	// Reason has the code of the rule, and value, limit and centre as text.
	Reason models.Remark
	Causes []models.SignalCause // oldest first; the last one holds

	stretch map[string]bool // inspections of its points, where they make it together
}

// SpreadWithin is the rule that the items of a lot differ among themselves by more, or
// by less, than those of other lots. It has a code of its own: the mean of the same lot
// may lie beyond its limit for another cause.
const SpreadWithin = "spread_within"

// alone says whether the point by itself is the signal.
func (g Signal) alone() bool {
	return g.Reason.Code == spc.BeyondLimit || g.Reason.Code == SpreadWithin
}

// Said is the signal's reason as records and answers carry it: the code with its
// side and what its figures are counted in, the figures to the digits that are
// shown, and their unit where they have one.
func (v ChartView) Said(g Signal) models.Remark {
	r := models.Remark{Code: g.Reason.Code + "_" + string(g.Side), Values: map[string]string{}}
	decimals := 2
	switch v.Phases[g.Phase].Values.Name {
	case spc.PanelRatios:
		r.Code += valued(g, "_times")
	case spc.PanelStandardised, spc.PanelDeviations:
		r.Code += valued(g, "_sigma")
	default:
		decimals = v.Decimals
		if g.Reason.Code == SpreadWithin {
			decimals++
		}
		if v.Unit != "" {
			r.Values["unit"] = v.Unit
		}
	}
	// No value lies beyond itself: figures that look the same get more digits.
	for more := range 9 {
		for _, name := range []string{"value", "limit", "centre"} {
			if text, ok := g.Reason.Values[name]; ok {
				r.Values[name] = roundedText(text, decimals+more)
			}
		}
		if r.Values["value"] != r.Values["limit"] {
			break
		}
	}
	return r
}

// valued is the ending of a code whose words name figures; those of run rules do
// not.
func valued(g Signal, ending string) string {
	if g.Reason.Code == spc.BeyondLimit || g.Reason.Code == spc.SmoothedMean {
		return ending
	}
	return ""
}

func roundedText(text string, decimals int) string {
	d, err := measure.Parse(text)
	if err != nil {
		return text
	}
	if d, err = measure.Round(d.Float(), decimals); err != nil {
		return text
	}
	return d.String()
}

// Settled says whether somebody gave a cause.
func (g Signal) Settled() bool { return len(g.Causes) > 0 }
