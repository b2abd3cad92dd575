package models

// Plot is a drawing of values beside one another, before it is drawn: the yield of
// each week, how often each thing failed, the points of a control chart. Page and
// paper draw from the same one. Title and labels are remarks, whose words stand in
// the catalogue.
type Plot struct {
	Shape    string      `json:"shape"` // PlotDots or PlotBars
	Title    Remark      `json:"title"`
	Unit     string      `json:"unit,omitempty"` // of the values; empty for counts
	Decimals int         `json:"decimals"`
	Zero     bool        `json:"zero,omitempty"` // the axis begins at zero
	Points   []PlotPoint `json:"points"`
	// Query is what the page of the section's question is opened with to see it whole.
	Query map[string]string `json:"query,omitempty"`
}

// Shapes of a plot.
const (
	PlotDots = "dots" // joined where they lie side by side, with limits or intervals where there are any
	PlotBars = "bars" // from zero, with intervals
)

// Note is the code of what a picture of this kind means: of bars, of dots with an interval
// each, of dots with limits.
func (p Plot) Note() string {
	if p.Shape == PlotBars {
		return "bars"
	}
	for _, pt := range p.Points {
		if pt.Low != nil && pt.High != nil {
			return "intervals"
		}
	}
	return "limits"
}

// PlotPoint is one place along a plot. A value that is not there leaves its place
// empty; it is never zero for want of data.
type PlotPoint struct {
	Label  Remark   `json:"label"`
	Value  *float64 `json:"value,omitempty"`
	Low    *float64 `json:"low,omitempty"` // interval of the value
	High   *float64 `json:"high,omitempty"`
	Centre *float64 `json:"centre,omitempty"` // what is expected here, with its limits
	Lower  *float64 `json:"lower,omitempty"`
	Upper  *float64 `json:"upper,omitempty"`
	K      int      `json:"k,omitempty"` // the value is k of n
	N      int      `json:"n,omitempty"`
	Signal bool     `json:"signal,omitempty"`
}
