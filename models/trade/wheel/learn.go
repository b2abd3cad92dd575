package wheel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// ScaleFit compares what a model predicted with what was observed.
type ScaleFit struct {
	Scale       float64 // observed = Scale * predicted, least squares through zero
	ResidualRMS float64 // root mean square of observed - Scale*predicted, over n
	Correlation float64 // of the two about zero: sum(p o)/sqrt(sum(p^2) sum(o^2)); 0 when nothing was observed
}

// Contradicts says that model and wheel disagree: a scale outside 0.4 to 1.5 or
// a correlation below 0.7. Common practice, no source.
func (f ScaleFit) Contradicts() bool {
	return f.Scale < LeastScale || f.Scale > MostScale || f.Correlation < leastCorrelation
}

// FitScale gives sum(p o)/sum(p^2) and what it leaves. Least squares through
// zero, textbook. A prediction of nothing but zeros is ErrInput.
func FitScale(predicted, observed []float64) (ScaleFit, error) {
	if len(predicted) == 0 || len(predicted) != len(observed) {
		return ScaleFit{}, fieldf("observed", "%d values for %d predicted, at least one of each needed", len(observed), len(predicted))
	}
	for _, set := range []struct {
		field  string
		values []float64
	}{{"predicted", predicted}, {"observed", observed}} {
		if err := allFinite(set.field, set.values); err != nil {
			return ScaleFit{}, err
		}
		for _, v := range set.values {
			if math.Abs(v) > 1e100 {
				return ScaleFit{}, fieldf(set.field, "%g is too large", v)
			}
		}
	}
	var pp, po, oo float64
	for i, p := range predicted {
		pp += p * p
		po += p * observed[i]
		oo += observed[i] * observed[i]
	}
	fit := ScaleFit{Scale: po / pp}
	if pp < 1e-100 || !finite(fit.Scale) {
		return ScaleFit{}, fieldf("predicted", "nothing was predicted to change")
	}
	if oo > 1e-100 {
		fit.Correlation = po / math.Sqrt(pp) / math.Sqrt(oo)
	}
	rest := make([]float64, len(predicted))
	for i, p := range predicted {
		rest[i] = observed[i] - fit.Scale*p
	}
	if fit.ResidualRMS = rms(rest); !finite(fit.ResidualRMS) || !finite(fit.Correlation) {
		return ScaleFit{}, fieldf("observed", "is too far from what was predicted to be compared")
	}
	return fit, nil
}

// Causes of a contradiction between what was predicted and what was observed.
const (
	WrongDirection = "wrong_direction" // the tensions went the other way: stop and undo
	SwappedSide    = "swapped_side"    // the rim went to the other side, the tensions as predicted
	ShiftedSpoke   = "wrong_spoke"     // the change fits better when counted from another spoke
	SlippedGauge   = "slipped_gauge"   // one run-out contradicts while the rest agrees
	NotAsPredicted = "unlike"          // none of these: read again
)

// Limits of Learn: common practice, no source.
const (
	LeastScale       = 0.4
	MostScale        = 1.5
	leastCorrelation = 0.7
	mostShift        = 2
)

// Learned is what one round taught.
type Learned struct {
	Tension, Lateral, Radial ScaleFit
	Stop                     bool   // observed contradicts predicted: turn nothing more
	Cause                    string // with Stop, the likely one
	Shift                    int    // with ShiftedSpoke, by how many spokes; otherwise 0
}

// Learn compares the predicted change of a round with the observed one. Each
// channel is scaled by itself; radial changes are compared about their means,
// because the zero of the gauge is lost between sets. It says stop when a
// scale is outside 0.4 to 1.5 or a correlation below 0.7, and names the likely
// cause: all tensions reversed, the lateral change reversed, a better fit one
// or two spokes away, or one run-out alone that does not fit.
//
// noise is the sd of a gauge reading, 0 where not known: a channel that was
// predicted to change by less than three times the noise of a difference is
// not held against anybody, since its scale would be noise.
func Learn(predicted, observed Changed, noise Noise) (Learned, error) {
	var out Learned
	channels := []struct {
		into    *ScaleFit
		p, o    []float64
		noise   float64
		told    bool
		against bool
	}{
		{into: &out.Tension, p: predicted.Tension, o: observed.Tension, noise: noise.TensionN},
		{into: &out.Lateral, p: predicted.Lateral, o: observed.Lateral, noise: noise.RunOutMM},
		{into: &out.Radial, p: centred(predicted.Radial), o: centred(observed.Radial), noise: noise.RunOutMM},
	}
	for i := range channels {
		c := &channels[i]
		fit, err := FitScale(c.p, c.o)
		if err != nil {
			return Learned{}, err
		}
		*c.into = fit
		c.told = rms(c.p) > 3*math.Sqrt2*c.noise
		c.against = c.told && fit.Contradicts()
		out.Stop = out.Stop || c.against
	}
	if !out.Stop {
		return out, nil
	}
	tension, lateral, radial := channels[0], channels[1], channels[2]
	switch {
	case tension.told && out.Tension.Scale < 0 && out.Tension.Correlation < -leastCorrelation:
		out.Cause = WrongDirection
	case lateral.told && !tension.against && out.Lateral.Correlation < -leastCorrelation:
		out.Cause = SwappedSide
	default:
		out.Cause = NotAsPredicted
		if out.Shift = bestShift(predicted.Tension, observed.Tension); out.Shift != 0 {
			out.Cause = ShiftedSpoke
		} else if !tension.against && lateral.against != radial.against {
			out.Cause = SlippedGauge
		}
	}
	return out, nil
}

// Noise is the sd of single readings.
type Noise struct{ RunOutMM, TensionN float64 }

// centred takes the mean off.
func centred(values []float64) []float64 {
	if len(values) == 0 {
		return nil
	}
	middle := average(values)
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v - middle
	}
	return out
}

// bestShift is by how many spokes the observed change is to be counted on for
// the best correlation, of -2 to 2; 0 unless another is clearly better and
// good by itself.
func bestShift(predicted, observed []float64) int {
	n := len(predicted)
	at := func(shift int) float64 {
		moved := make([]float64, n)
		for j := range moved {
			moved[j] = observed[((j+shift)%n+n)%n]
		}
		r, _ := correlation(predicted, moved)
		return r
	}
	best, shift := at(0), 0
	for s := -mostShift; s <= mostShift; s++ {
		if r := at(s); s != 0 && r > best && r >= leastCorrelation {
			best, shift = r, s
		}
	}
	return shift
}

// sureAfter is how many rounds weigh as much as the model itself. Our own
// choice.
const sureAfter = 2.0

// LearnedScale shrinks the mean scale of some rounds on one type of rim and
// spoke toward 1: 1 + (mean - 1) n/(n + 2). Few rounds teach little. Without
// rounds it is 1.
func LearnedScale(scales []float64) (float64, error) {
	if len(scales) == 0 {
		return 1, nil
	}
	if err := allFinite("scales", scales); err != nil {
		return 0, err
	}
	for _, s := range scales {
		if s < LeastScale || s > MostScale {
			return 0, fieldf("scales", "%g is outside %g to %g: a contradiction teaches nothing", s, LeastScale, MostScale)
		}
	}
	n := float64(len(scales))
	return 1 + (average(scales)-1)*n/(n+sureAfter), nil
}

// Scaled gives the influence with each channel scaled as learned.
func (f Influence) Scaled(lateral, radial, tension float64) Influence {
	by := func(a *mat.Dense, s float64) *mat.Dense {
		out := mat.DenseCopyOf(a)
		out.Scale(s, out)
		return out
	}
	return Influence{Lateral: by(f.Lateral, lateral), Radial: by(f.Radial, radial), Tension: by(f.Tension, tension)}
}
