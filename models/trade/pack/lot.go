package pack

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// Reasons to doubt a whole lot, in the order LotRule gives them.
const (
	LotManyFlagged    = "lot_many_flagged"    // too many of its blocks are
	LotHighResistance = "lot_high_resistance" // its middle against that of the model
	LotLowVoltage     = "lot_low_voltage"     // its middle against the incoming least
)

// LeastForModel is how many blocks the middle resistance of a model rests on.
// Common practice, no source.
const LeastForModel = 30

// LotFacts are what is known of one lot, all at 25 degrees. A list may be empty.
type LotFacts struct {
	Compared, Flagged int       // blocks compared with their lot, and those flagged
	OCV               []float64 // V
	Resistance        []float64 // milliohm
	ModelResistance   []float64 // milliohm, of the model's blocks of whatever lot
}

// LotLimits are the limits of the rule; 0 is none.
type LotLimits struct {
	FlaggedPct      float64 // more flagged are too many; 10
	ResistanceRatio float64 // a larger ratio of the middles is too high; 1.15
	LeastOCV        float64 // a lower middle is too low, V
}

// LotResult is what the rule says, with the figures it rests on; a figure that
// has nothing to rest on is 0 and not known.
type LotResult struct {
	FlaggedPct                              float64
	MedianOCV, MedianResistance             float64
	ModelMedian, Ratio                      float64
	OCVKnown, ResistanceKnown, RatioIsKnown bool
	Reasons                                 []string
}

// LotRule says whether a lot as a whole is to be set aside and its supplier
// told: more than 10 % of its blocks flagged, a middle resistance above 1.15 of
// the model's (of at least 30 blocks), or a middle voltage below the incoming
// least. Equal to a limit passes. Source: common practice, no source.
func LotRule(f LotFacts, limits LotLimits) (LotResult, error) {
	if f.Flagged < 0 || f.Compared < f.Flagged {
		return LotResult{}, fieldf("flagged", "%d of %d blocks", f.Flagged, f.Compared)
	}
	for name, list := range map[string][]float64{"ocv25_V": f.OCV, "R25_mohm": f.Resistance, "model_R25_mohm": f.ModelResistance} {
		for i, x := range list {
			if err := finite(fmt.Sprintf("%s[%d]", name, i), x); err != nil {
				return LotResult{}, err
			}
		}
	}
	out := LotResult{Reasons: []string{}}
	if f.Compared > 0 {
		out.FlaggedPct = 100 * float64(f.Flagged) / float64(f.Compared)
	}
	out.MedianOCV, out.OCVKnown = middle(f.OCV)
	out.MedianResistance, out.ResistanceKnown = middle(f.Resistance)
	if model, known := middle(f.ModelResistance); known && len(f.ModelResistance) >= LeastForModel && out.ResistanceKnown && model > 0 {
		out.ModelMedian, out.Ratio, out.RatioIsKnown = model, out.MedianResistance/model, true
	}
	if limits.FlaggedPct > 0 && out.FlaggedPct > limits.FlaggedPct+slack {
		out.Reasons = append(out.Reasons, LotManyFlagged)
	}
	if limits.ResistanceRatio > 0 && out.RatioIsKnown && out.Ratio > limits.ResistanceRatio+slack {
		out.Reasons = append(out.Reasons, LotHighResistance)
	}
	if limits.LeastOCV > 0 && out.OCVKnown && out.MedianOCV < limits.LeastOCV-slack {
		out.Reasons = append(out.Reasons, LotLowVoltage)
	}
	return out, nil
}

func middle(x []float64) (float64, bool) {
	m, err := stats.Median(x)
	return m, err == nil && !math.IsNaN(m)
}

// RobustZ sets each value against the others:
//
//	z = 0.6745 (x - median) / MAD'
//
// with MAD' the median absolute deviation, at least floor: rounded data often
// have none, and half a step of the instrument stands in for it. Source:
// Iglewicz and Hoaglin 1993, quoted from memory.
func RobustZ(x []float64, floor float64) (z []float64, median, mad float64, err error) {
	if err := positive("floor", floor); err != nil {
		return nil, 0, 0, err
	}
	if median, err = stats.Median(x); err != nil {
		return nil, 0, 0, fmt.Errorf("median: %w", err)
	}
	away := make([]float64, len(x))
	for i, v := range x {
		away[i] = math.Abs(v - median)
	}
	if mad, err = stats.Median(away); err != nil {
		return nil, 0, 0, fmt.Errorf("median deviation: %w", err)
	}
	for _, v := range x {
		z = append(z, robustScale*(v-median)/math.Max(mad, floor))
	}
	return z, median, mad, computed(z...)
}
