package spc

import (
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// zone is a stretch of the axis of a chart between two neighbouring lines that
// the rules of a set speak of, in thirds of the way from centre to limit.
type zone struct{ from, to float64 }

// zonesOf cuts the axis at every line that the rules speak of, on both sides,
// from the lowest zone up. Rules of the order of points alone leave it whole.
func zonesOf(rules []RunRule) []zone {
	cuts := []float64{math.Inf(-1), math.Inf(1)}
	for _, r := range rules {
		if r.Pattern != PatternTrend && r.Pattern != PatternAlternation {
			cuts = append(cuts, r.Line, 0-r.Line)
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	zones := make([]zone, len(cuts)-1)
	for i := range zones {
		zones[i] = zone{cuts[i], cuts[i+1]}
	}
	return zones
}

// counts says whether the points of a zone, its edges apart, count for a rule on
// a side. A point on an edge has no chance.
func (z zone) counts(r RunRule, side Side) bool {
	switch {
	case r.Pattern == PatternWithin:
		return -r.Line <= z.from && z.to <= r.Line
	case r.Pattern == PatternOutside:
		return z.to <= -r.Line || r.Line <= z.from
	case side == SideHigh:
		return r.Line <= z.from
	}
	return z.to <= -r.Line
}

// chance of a normal point with the given shift, in sigma, in a zone whose
// thirds are scale sigma wide.
func (z zone) chance(shift, scale float64) float64 {
	return normalBetween(z.from*scale-shift, z.to*scale-shift)
}

// normalBetween is the standard normal chance between two points, taken from the
// nearer tail so that it keeps its digits far out.
func normalBetween(from, to float64) float64 {
	if from > 0 {
		from, to = -to, -from
	}
	return stats.NormalBelow(to) - stats.NormalBelow(from)
}
