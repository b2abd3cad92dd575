package kinds

import (
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// mostMasked is how many stations of a run-out may be masked on any wheel.
const mostMasked = 4

// MostMasked is how many stations of a run-out may be masked on a wheel: one in
// nine of its holes, and no more than four. Our own choice: the shape under a
// mask is taken from waves 1 to 4, and the shortest of these is nine stations
// long on a wheel of 36, so that even four masks side by side leave out less
// than half of it; beyond that the fit would draw the rim by itself.
func MostMasked(holes int) int { return min(mostMasked, holes/9) }

// CanMask says whether stations of a set may be masked: those of a run-out read
// at every hole. By extremes the place is passed over; a tension is that of one
// spoke, and no other can stand for it.
func CanMask(characteristic, method string) bool {
	return (characteristic == LateralRunOut || characteristic == RadialRunOut) && method == models.EveryHole
}

func (s *Set) masked(p models.Position) bool {
	return slices.ContainsFunc(s.Masks, func(m models.Mask) bool { return m.Index == p })
}

// analyse reduces a run-out, without the stations that are masked.
func (s *Set) analyse(y []float64, reread *float64) (wheel.RunOut, error) {
	if len(s.Masks) == 0 {
		return wheel.ReduceRunOut(y, reread)
	}
	return wheel.AnalyseMasked(y, reread, WheelMasks(s.Masks))
}

// WheelMasks are the masks of a set as the arithmetic takes them.
func WheelMasks(masks []models.Mask) []wheel.Mask {
	var list []wheel.Mask
	for _, m := range masks {
		list = append(list, wheel.Mask{Station: m.Index.Place, Reason: m.Reason})
	}
	return list
}

// maskedText names the masked spokes with their reasons: "19 (weld), 20 (weld)".
func maskedText(masks []models.Mask) string {
	list := make([]string, len(masks))
	for i, m := range masks {
		list[i] = m.Index.Shown() + " (" + maskReason(m) + ")"
	}
	return strings.Join(list, ", ")
}

func maskReason(m models.Mask) string {
	if m.Reason == models.MaskOther {
		return m.Note
	}
	return m.Reason
}

// maskRemarks says of each masked station that it was not judged.
func maskRemarks(s *Set) []models.Remark {
	var remarks []models.Remark
	for _, m := range s.Masks {
		values := []string{"characteristic", s.Characteristic.Code, "spoke", m.Index.Shown()}
		if m.Reason == models.MaskOther {
			remarks = append(remarks, models.NewRemark("masked_other", append(values, "why", m.Note)...))
			continue
		}
		remarks = append(remarks, models.NewRemark("masked_"+m.Reason, values...))
	}
	return remarks
}
