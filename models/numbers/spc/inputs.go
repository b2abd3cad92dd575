package spc

// Input is what a chart is drawn from. Every family of charts has a type of its
// own, in the order in time, so that data of another kind do not fit by
// accident: [Data], [Subgroups], [Items], [Counts], [Vectors],
// [VectorSubgroups], [ShortRun].
type Input interface {
	Family() Family
	// baseline returns what the limits are to rest on.
	baseline() Baseline
}

// Family names the kind of data that a chart takes.
type Family string

// The families of charts.
const (
	SingleValues    Family = "single_values"    // [Data]
	ItemSubgroups   Family = "subgroups"        // [Subgroups]
	ReadingsOfItems Family = "readings"         // [Items]
	CountedThings   Family = "counts"           // [Counts]
	SeveralResults  Family = "vectors"          // [Vectors]
	VectorsInGroups Family = "vector_subgroups" // [VectorSubgroups]
	MixedProducts   Family = "short_runs"       // [ShortRun]
)

// Data are single values, one an item.
type Data struct {
	Values []float64
	// Resolution is the step of the instrument in the unit of the values, 0
	// when it is not known.
	Resolution float64
	// Widen moves the limits out by half a step where the resolution is coarser
	// than sigma, instead of drawing none: a rounded value beyond such a limit
	// was beyond it unrounded. Beyond two sigma there are none even so.
	Widen    bool
	Settings Settings
	Baseline Baseline
}

// Settings are the choices of the charts that have any. A zero takes the usual
// value, which stands with the chart.
type Settings struct {
	// Target and Sigma replace those found from the points (EWMA and CUSUM),
	// in the unit of the values.
	Target, Sigma *float64
	Weight, Width float64 // EWMA: weight of the newest value, limits in sigmas.
	// Slack, Decision and HeadStart of the CUSUM, all in sigmas.
	Slack, Decision, HeadStart float64
	// Shape names the distribution of the chart by probability limits.
	Shape string
}

// Subgroups are groups of items made close together, one value an item.
//
// Repeat readings of one item, such as the tensions of one wheel or the blocks
// of one pack, are not such a group: they share everything the item has, and
// limits from their spread would call nearly every item out. They belong in
// [Items]. Whoever knows that values are repeat readings says so by OneItem,
// and the charts of this family refuse them with [ErrOneItem].
type Subgroups struct {
	Values     [][]float64
	OneItem    bool
	Resolution float64
	Baseline   Baseline
}

// Items are many readings on each of several items: Readings[i] are those of
// one item, at least two.
type Items struct {
	Readings   [][]float64
	Resolution float64
	Baseline   Baseline
}

// Counts are counted things. Of is what they were counted in: the items
// inspected, of which each counts once at most (proportions, numbers
// nonconforming), or the units looked at, with any number of nonconformities
// each (rates). It is nil for counts on one and the same unit.
type Counts struct {
	Counts   []int
	Of       []float64
	Baseline Baseline
}

// Vectors are several results of each item: Values[i][j] is result j of item i.
// Alpha is the wanted share of false alarms, 0 for 0.0027.
type Vectors struct {
	Values   [][]float64
	Alpha    float64
	Baseline Baseline
}

// VectorSubgroups are subgroups of items with several results each:
// Values[i][k][j] is result j of item k of subgroup i. The rule about repeat
// readings of one item in [Subgroups] holds here too.
type VectorSubgroups struct {
	Values   [][][]float64
	OneItem  bool
	Alpha    float64
	Baseline Baseline
}

// ShortRun are single values of items of several products in the order they
// were made. Groups[i] names the product or family whose baseline judges value
// i.
type ShortRun struct {
	Values []float64
	Groups []string
	// Nominals are the centres to measure from, by group: the wanted value for
	// a deviation, a median from earlier work for a ratio. A group without one
	// gets the median of its points in the baseline; deviations need one.
	Nominals   map[string]float64
	Resolution float64
	Baseline   Baseline
}

// Family names the family of each input.
func (Data) Family() Family            { return SingleValues }
func (Subgroups) Family() Family       { return ItemSubgroups }
func (Items) Family() Family           { return ReadingsOfItems }
func (Counts) Family() Family          { return CountedThings }
func (Vectors) Family() Family         { return SeveralResults }
func (VectorSubgroups) Family() Family { return VectorsInGroups }
func (ShortRun) Family() Family        { return MixedProducts }

func (d Data) baseline() Baseline            { return d.Baseline }
func (d Subgroups) baseline() Baseline       { return d.Baseline }
func (d Items) baseline() Baseline           { return d.Baseline }
func (d Counts) baseline() Baseline          { return d.Baseline }
func (d Vectors) baseline() Baseline         { return d.Baseline }
func (d VectorSubgroups) baseline() Baseline { return d.Baseline }
func (d ShortRun) baseline() Baseline        { return d.Baseline }
