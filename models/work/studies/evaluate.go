package studies

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/stats"
)

// alpha is the chance of calling a bias that is not there.
const alpha = 0.05

// Judgements of a study, in a word.
const (
	Good      = "good"       // below 10 % of the tolerance
	MayDo     = "may_do"     // 10 to 30 %
	Unfit     = "unfit"      // above 30 %
	NoBias    = "no_bias"    // none that these readings show
	Biased    = "biased"     //
	Steady    = "steady"     //
	Unsteady  = "unsteady"   //
	TooFew    = "too_few"    // of checks, to say anything of steadiness
	NoOpinion = "no_opinion" // nothing to hold it against

	SteadyToStep = "steady_to_step" // nothing that the gauge's step would show
)

// Bands of the share of the tolerance, in per cent. Common practice, no source.
const (
	GoodBelow = 10.0
	UnfitFrom = 30.0
)

// Result is what a study comes to. One of the parts is set, by the design.
type Result struct {
	Crossed   *Crossed
	Bias      *Bias
	Linearity *Linearity
	Stability *gauge.StabilityStudy
	Values    []float64 // in the order of turns, in the study's unit
	// Width of the tolerance, 0 where there is none: high less low; from 0 where
	// there is only a high limit, for what is measured so is never below 0.
	Width float64
	// Share of the tolerance in per cent that the gauge takes up, where known.
	Share      float64
	ShareKnown bool
	Judgement  string
	Next       []string // codes: what to do now
}

// Crossed is a crossed study: the analysis of variance with the components it is
// judged by.
type Crossed struct {
	gauge.Study
	Pooled     bool // the interaction was taken for noise
	Components gauge.Components
	Summary    gauge.Summary
	Percents   gauge.Percents // shares of the variance; they add up
}

// Bias is the study of one reference.
type Bias struct {
	gauge.BiasStudy
	Reference float64
}

// Linearity is the bias over the range.
type Linearity struct {
	gauge.LinearityStudy
	References []float64 // one for each reading
	Biases     []float64
	Largest    float64 // the largest bias on the line, at one of the references
	At         float64 // that reference
}

// Counted is the bias that the budget counts as long as nobody corrects it: the largest
// on a line that slopes, else the one of the whole range.
func (l Linearity) Counted() float64 {
	if l.SlopeSignificant {
		return l.Largest
	}
	return l.Bias
}

// Evaluate works a study out. A study that is not read to its end, and one whose
// readings do not differ at all, are refused.
func Evaluate(v View) (Result, error) {
	standing := v.Standing()
	values, left := make([]float64, len(standing)), 0
	for i, r := range standing {
		if r == nil {
			left++
			continue
		}
		d, err := measure.Parse(r.Value)
		if err != nil {
			return Result{}, fmt.Errorf("reading %d of study %d: %w", i+1, v.Study.Number, err)
		}
		values[i] = d.Float()
	}
	if left > 0 {
		return Result{}, refused("study_incomplete", "left", fmt.Sprint(left), "n", fmt.Sprint(len(standing)))
	}
	r := Result{Values: values, Width: width(v.Study)}
	var err error
	switch v.Study.Design {
	case models.StudyCrossed:
		err = r.crossed(v.Study)
	case models.StudyBias:
		err = r.bias(v.Study)
	case models.StudyLinearity:
		err = r.linearity(v.Study)
	case models.StudyStability:
		err = r.stability(stepOf(v, values))
	default:
		err = fmt.Errorf("study of the unknown design %q", v.Study.Design)
	}
	switch {
	case errors.Is(err, stats.ErrNoSpread):
		return Result{}, refused("study_no_spread")
	case err != nil:
		return Result{}, fmt.Errorf("work out study %d: %w", v.Study.Number, err)
	}
	return r, nil
}

func width(study models.GaugeStudy) float64 {
	high, errHigh := measure.Parse(study.High)
	low, errLow := measure.Parse(study.Low)
	switch {
	case errHigh != nil:
		return 0
	case errLow != nil:
		return math.Max(0, high.Float())
	}
	return high.Float() - low.Float()
}

// share notes how much of the tolerance six standard deviations take up.
func (r *Result) share(sd float64) {
	if r.Width > 0 {
		r.Share, r.ShareKnown = 100*6*sd/r.Width, true
	}
}

func (r *Result) crossed(study models.GaugeStudy) error {
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
	r.Crossed = &c
	r.share(c.Summary.Gauge)
	r.Judgement = NoOpinion
	if r.ShareKnown {
		r.Judgement = band(r.Share)
	}
	r.Next = c.next(r.Judgement)
	return nil
}

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

func (r *Result) bias(study models.GaugeStudy) error {
	reference, err := measure.Parse(study.Items[0].Reference)
	if err != nil {
		return fmt.Errorf("reference: %w", err)
	}
	b, err := gauge.Bias(r.Values, reference.Float(), alpha)
	if err != nil {
		return err
	}
	r.Bias = &Bias{b, reference.Float()}
	r.share(b.Mean.S)
	r.Judgement, r.Next = NoBias, []string{"study_next_no_bias"}
	if b.Significant {
		r.Judgement, r.Next = Biased, []string{"study_next_biased"}
	}
	return nil
}

// linearity judges the bias over the range: by its slope, and where the slope shows none
// by the mean of all biases, which is then the one bias of the whole range.
func (r *Result) linearity(study models.GaugeStudy) error {
	l := Linearity{}
	for i, t := range study.Turns {
		reference, err := measure.Parse(study.Items[t.Item].Reference)
		if err != nil {
			return fmt.Errorf("reference: %w", err)
		}
		l.References = append(l.References, reference.Float())
		l.Biases = append(l.Biases, r.Values[i]-reference.Float())
	}
	var err error
	if l.LinearityStudy, err = gauge.Linearity(l.References, l.Biases); err != nil {
		return err
	}
	for _, x := range l.References {
		bias, _, err := l.LinearityStudy.At(x)
		if err != nil {
			return err
		}
		if math.Abs(bias) > math.Abs(l.Largest) {
			l.Largest, l.At = bias, x
		}
	}
	r.Linearity = &l
	r.share(l.S)
	switch {
	case l.SlopeSignificant:
		r.Judgement, r.Next = Biased, []string{"study_next_slope"}
	case l.BiasSignificant:
		r.Judgement, r.Next = Biased, []string{"study_next_biased"}
	default:
		r.Judgement, r.Next = NoBias, []string{"study_next_no_bias"}
	}
	return nil
}

func (r *Result) stability(step float64) error {
	if stats.Distinct(r.Values) == 1 {
		return stats.ErrNoSpread
	}
	s, err := gauge.Stability(r.Values, step)
	if err != nil {
		return err
	}
	r.Stability = &s
	r.share(s.S)
	switch s.Verdict {
	case gauge.Steady:
		r.Judgement, r.Next = Steady, []string{"study_next_steady"}
	case gauge.Unsteady:
		r.Judgement, r.Next = Unsteady, []string{"study_next_unsteady"}
	case gauge.SteadyToStep:
		r.Judgement, r.Next = SteadyToStep, []string{"study_next_to_step"}
	default:
		r.Judgement, r.Next = TooFew, []string{"study_next_more_checks"}
	}
	return nil
}
