package truing

import (
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/wheel"
)

// gaugeShare stands in for the uncertainty of a tension gauge that nobody has
// typed in, as a share of the rim maker's maximum: a good workshop gauge is
// within 3 to 5 %. Common practice, no source.
const gaugeShare = 0.05

// limitsOf gathers what the wheel is to come within: the acceptance limits of
// the inspection's results, which under a guarded rule are narrower than those
// of the specification, and the specification where a result is not there.
func limitsOf(view models.InspectionView, w models.WheelForm) (Limits, error) {
	var f figures
	high := func(code string) float64 { return f.of("limit of "+code, upper(view, code)) }
	l := Limits{LateralTIR: high("lateral_tir"), RadialTIR: high("radial_tir"), DishAbs: high("dish_abs"),
		TensionMin: f.of("limit of tension", lower(view, "tension_lowest")), TensionMax: f.of("rim maximum", w.RimMaxTension)}
	l.SideDeviationPct = high("side_tension_dev_pct_a")
	if b := high("side_tension_dev_pct_b"); b > 0 && (l.SideDeviationPct == 0 || b < l.SideDeviationPct) {
		l.SideDeviationPct = b
	}
	l.GaugeUncertainty = gaugeUncertainty(view, w, l.TensionMax, &f)
	l.Ceiling = l.TensionMax - l.GaugeUncertainty
	return l, f.err
}

// upper and lower give the acceptance limit of a result.
//
//go:noinline
func upper(view models.InspectionView, code string) string {
	for _, r := range view.Results {
		if r.Code == code && r.AcceptHigh != "" {
			return r.AcceptHigh
		}
	}
	limit, _, _ := view.Specification.Limit(code)
	return limit.High
}

func lower(view models.InspectionView, code string) string {
	for _, r := range view.Results {
		if r.Code == code && r.AcceptLow != "" {
			return r.AcceptLow
		}
	}
	limit, _, _ := view.Specification.Limit(code)
	return limit.Low
}

// gaugeUncertainty is the largest typed in for the gauges that read the
// tensions, in N; else the product's figure; else 5 % of the rim's maximum.
func gaugeUncertainty(view models.InspectionView, w models.WheelForm, most float64, f *figures) float64 {
	known := 0.0
	for _, s := range view.Sets {
		if s.InstrumentID == nil || s.Code != kinds.TensionA && s.Code != kinds.TensionB {
			continue
		}
		for _, i := range view.Instruments {
			if i.ID != *s.InstrumentID || i.Uncertainty == "" {
				continue
			}
			d, err := measure.Parse(i.Uncertainty)
			if err == nil {
				d, err = measure.Convert(d, measure.Unit(i.Unit), measure.Newton)
			}
			if err == nil {
				known = math.Max(known, d.Float())
			}
		}
	}
	if known > 0 {
		return known
	}
	if own := f.of("uncertainty of the gauge", w.Truing.TensionUncertainty); own > 0 {
		return own
	}
	return gaugeShare * most
}

// targets are the tensions wanted on each side. The tighter side, by the
// expected ratio, keeps the mean it has where that lies within the limits of
// the specification for it, so that a wheel is evened and not retensioned for
// nothing; below or above them it is brought a tenth of their width inside.
// The other side follows by the ratio, and where half of the largest deviation
// allowed would take that below the least tension of a spoke, both are raised.
// No target lies so high that half of the largest deviation would pass the
// ceiling; lowered says that one would have. All of it common practice, no
// source.
func targets(view models.InspectionView, w models.WheelForm, g wheel.Geometry, l Limits, now Condition) (a, b float64, lowered bool, err error) {
	ratio, err := expectedRatio(w, g)
	if err != nil {
		return 0, 0, false, fmt.Errorf("expected ratio of the sides: %w", err)
	}
	var f figures
	low, high := f.of("limit of tension", lower(view, "tension_mean_tight")), f.of("limit of tension", upper(view, "tension_mean_tight"))
	if f.err != nil {
		return 0, 0, false, f.err
	}
	tight := now.MeanA
	if ratio < 1 {
		tight = now.MeanB
	}
	inside := 0.0
	if low > 0 && high > low {
		inside = (high - low) / 10
	}
	if low > 0 && tight < low {
		tight = low + inside
	}
	// The looser side is to have its lowest tension above the least allowed, with
	// half of the largest deviation.
	if least := l.TensionMin / (1 - l.SideDeviationPct/200) * math.Max(ratio, 1/ratio); tight < least {
		tight = least
	}
	if high > 0 && tight > high {
		tight = high - inside
	}
	if most := l.Ceiling / (1 + l.SideDeviationPct/200); tight > most {
		tight, lowered = most, true
	}
	if ratio < 1 {
		return tight * ratio, tight, lowered, nil
	}
	return tight, tight / ratio, lowered, nil
}
