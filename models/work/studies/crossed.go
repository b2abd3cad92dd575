package studies

import (
	"math"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
)

// Bands of the share of the tolerance, in per cent. Common practice, no source.
const (
	GoodBelow = 10.0
	UnfitFrom = 30.0
)

// Crossed is a crossed study: the analysis of variance with the components it is
// judged by.
type Crossed struct {
	gauge.Study
	Pooled     bool // the interaction was taken for noise
	Components gauge.Components
	Summary    gauge.Summary
	Percents   gauge.Percents // shares of the variance; they add up
	// StepCounts: the step of the gauge is coarser than what reading again scatters by,
	// and is counted in its place.
	StepCounts bool
	// StepUnknown: no scatter shows, and nothing tells the step that would count for it.
	StepUnknown bool
}

// crossed judges a crossed study on the scatter of gauge and persons. Where one person
// reads one item again with less scatter than rounding to the step has, step/sqrt(12),
// the step counts in its place: of the two the larger is taken, since a scatter that
// shows holds that of the step (ISO 22514-7; from memory). A gauge whose step hides its
// scatter is thus never good where the step is more than 6 % of the tolerance. Where
// neither is known, nobody can tell.
func (r *Result) crossed(study models.GaugeStudy, step float64) error {
	y := make(gauge.Readings, len(study.Items))
	for i := range y {
		y[i] = make([][]float64, len(study.Persons))
	}
	for i, t := range study.Turns {
		y[t.Item][t.Person] = append(y[t.Item][t.Person], r.Values[i])
	}
	s, err := gauge.Crossed(y)
	if err != nil {
		return err
	}
	c := Crossed{Study: s, Pooled: s.Pool(), Components: s.WithInteraction}
	if c.Pooled {
		c.Components = s.PooledNoInteraction
	}
	if c.Summary, err = gauge.Summarise(c.Components, r.Width); err != nil {
		return err
	}
	c.Percents = c.Components.Contribution()
	hidden := max(0, step*step/12-c.Components.Used.Repeatability)
	c.StepCounts = hidden > 0
	r.Crossed = &c
	r.share(math.Sqrt(c.Components.Used.Gauge() + hidden))
	r.Judgement = NoOpinion
	if c.StepUnknown = r.ShareKnown && step == 0 && c.Components.Used.Repeatability == 0; c.StepUnknown {
		r.ShareKnown, r.Next = false, []string{"study_next_no_step"}
		return nil
	}
	if r.ShareKnown {
		low, high, err := s.GaugeInterval(c.Pooled, 1-alpha)
		if err != nil {
			return err
		}
		// A component below 0 counts as 0 in the share, and not in the interval.
		r.ShareLow, r.ShareHigh = 100*6*math.Sqrt(low+hidden)/r.Width, max(r.Share, 100*6*math.Sqrt(high+hidden)/r.Width)
		r.Judgement, r.Open = band(r.Share), band(r.ShareLow) != band(r.ShareHigh)
	}
	r.Next = c.next(r.Judgement)
	if r.Open {
		r.Next = append(r.Next, "study_next_more")
	}
	return nil
}

// Answer is the code of the sentence that a study is answered with: its judgement,
// whether the interval of the share leaves it open, and whether there is no step to tell
// it by.
func (r Result) Answer() string {
	if r.Open {
		return r.Judgement + "_open"
	}
	if r.Crossed != nil && r.Crossed.StepUnknown {
		return "no_step"
	}
	return r.Judgement
}

// ShareBands are the words of the bands in which the interval of the share ends.
func (r Result) ShareBands() (low, high string) { return band(r.ShareLow), band(r.ShareHigh) }

func band(share float64) string {
	switch {
	case share < GoodBelow:
		return Good
	case share <= UnfitFrom:
		return MayDo
	}
	return Unfit
}

// next says where to look: at the gauge, at how persons read it, or at items that
// some read otherwise than others.
func (c Crossed) next(judgement string) []string {
	u := c.Components.Used
	var out []string
	switch {
	case u.Repeatability == 0:
		out = append(out, "study_next_resolution")
	case judgement == Good:
		out = append(out, "study_next_use")
	case c.StepCounts && u.Operator+u.Interaction <= u.Repeatability:
		out = append(out, "study_next_step")
	case u.Repeatability >= u.Operator+u.Interaction:
		out = append(out, "study_next_gauge")
	case u.Operator >= u.Interaction:
		out = append(out, "study_next_persons")
	default:
		out = append(out, "study_next_items")
	}
	if n, known := c.Components.Categories(); known && n < gauge.FewestCategories {
		out = append(out, "study_next_categories")
	}
	return out
}
