package gauge

import "math"

// Band is a rough word for how fit a gauge is.
type Band string

// The bands by the gauge's share in the total standard deviation: below 10 %,
// up to 30 %, above. Common practice, no source.
const (
	BandAcceptable   Band = "acceptable"
	BandMarginal     Band = "marginal"
	BandUnacceptable Band = "unacceptable"
)

// FewestCategories is how many classes a gauge should be able to tell. Common
// practice.
const FewestCategories = 5

// Summary is a crossed study in standard deviations, in the unit of the
// readings.
type Summary struct {
	Repeatability, Operator, Interaction, Gauge, Part, Total float64
	// PercentGauge = 100 Gauge/Total. It depends on how varied the parts of the
	// study were; for accepting and rejecting, PercentTolerance comes first.
	PercentGauge float64
	// PercentTolerance = 100 x 6 Gauge / tolerance width, where one was given.
	PercentTolerance float64
	// Categories is floor(1.41 Part/Gauge), the form with the rounded root of 2
	// that manuals print; known when the gauge shows any variance.
	Categories      float64
	CategoriesKnown bool
	Band            Band
}

// Summarise turns variance components into the usual figures. The width of the
// tolerance is 0 where there is none.
func Summarise(c Components, toleranceWidth float64) (Summary, error) {
	if err := checkNotNegative("tolerance width", toleranceWidth); err != nil {
		return Summary{}, err
	}
	u := c.Used
	s := Summary{
		Repeatability: math.Sqrt(u.Repeatability), Operator: math.Sqrt(u.Operator), Interaction: math.Sqrt(u.Interaction),
		Gauge: math.Sqrt(u.Gauge()), Part: math.Sqrt(u.Part), Total: math.Sqrt(u.Total()),
	}
	s.PercentGauge = c.StudyVariation().Gauge
	if toleranceWidth > 0 {
		s.PercentTolerance = 100 * 6 * s.Gauge / toleranceWidth
	}
	if s.Gauge > 0 {
		s.Categories = math.Floor(1.41 * s.Part / s.Gauge)
		s.CategoriesKnown = finiteAll(s.Categories)
	}
	switch {
	case s.PercentGauge < 10:
		s.Band = BandAcceptable
	case s.PercentGauge <= 30:
		s.Band = BandMarginal
	default:
		s.Band = BandUnacceptable
	}
	return s, checkAll(checkFinite("variances", s.Total), checkFinite("tolerance width", s.PercentTolerance))
}
