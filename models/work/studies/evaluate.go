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
	// ShareLow and ShareHigh are the interval of the share of a crossed study, with a
	// confidence of 95 %. Open: its ends lie in different bands.
	ShareLow, ShareHigh float64
	Open                bool
	Judgement           string
	Next                []string // codes: what to do now
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
	Shown      gauge.Shown
}

// Counted is the bias that the budget counts as long as nobody corrects it: the largest
// on a line that slopes, else the one of the whole range.
func (l Linearity) Counted() float64 {
	if l.Shown.Slope {
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
		err = r.crossed(v.Study, stepOf(v, values))
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
// by the mean of all biases, which is then the one bias of the whole range. The two
// tests share alpha.
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
	if l.Shown, err = l.LinearityStudy.Shown(alpha); err != nil {
		return err
	}
	r.Linearity = &l
	r.share(l.S)
	switch {
	case l.Shown.Slope:
		r.Judgement, r.Next = Biased, []string{"study_next_slope"}
	case l.Shown.Mean:
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
