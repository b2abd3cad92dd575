package kinds

import (
	"errors"
	"fmt"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

func reduceWheel(in Input) (Reduction, error) {
	var out Reduction
	for _, runOut := range []struct{ code, prefix string }{{LateralRunOut, "lateral"}, {RadialRunOut, "radial"}} {
		s := in.find(runOut.code, models.EveryHole, models.Extremes)
		if s == nil {
			continue
		}
		values, err := reduceRunOut(s, runOut.prefix, in.Form.Wheel.Holes)
		if err != nil {
			return Reduction{}, err
		}
		out.Values = append(out.Values, values...)
		drift, err := driftRemark(s, in.Form.Wheel.Holes)
		if err != nil {
			return Reduction{}, err
		}
		out.Remarks = append(append(out.Remarks, maskRemarks(s)...), drift...)
	}
	if s := in.find(Dish, models.Whole); s != nil {
		values, err := reduceDish(s, *in.Form.Wheel)
		if err != nil {
			return Reduction{}, err
		}
		out.Values = append(out.Values, values...)
	}
	values, err := reduceTension(in)
	if err != nil {
		return Reduction{}, err
	}
	out.Values = append(append(out.Values, values...), ticks(in)...)
	doubts, err := wheelDoubts(in, out.Values)
	if err != nil {
		return Reduction{}, err
	}
	out.Remarks = append(out.Remarks, doubts...)
	return out, nil
}

// reduceRunOut gives the full indicator reading (highest less lowest, exact
// decimals) and, where every hole was read, mean and first three harmonics. A
// reread of station 0 that differs by at most 0.05 mm is taken out as drift,
// in proportion to the station; the corrected reading is then a float rounded
// once. Further apart, the set is refused.
func reduceRunOut(s *Set, prefix string, holes int) ([]Value, error) {
	tir := Value{Code: prefix + "_tir", Unit: measure.MM, Method: s.Method, Readings: len(s.Values), Detail: map[string]string{}}
	high, low := 0, 0
	stations := s.Values
	if s.Method == models.EveryHole {
		stations = s.Values[:holes-len(s.Masks)]
	}
	for i, v := range stations {
		if v.Cmp(stations[high]) > 0 {
			high = i
		}
		if v.Cmp(stations[low]) < 0 {
			low = i
		}
	}
	if s.Method == models.Extremes {
		high, low = 0, 1
	}
	var err error
	if tir.Value, err = stations[high].Sub(stations[low]); err != nil {
		return nil, fmt.Errorf("full reading of %s: %w", prefix, err)
	}
	tir.Detail["highest"], tir.Detail["lowest"] = stations[high].String(), stations[low].String()
	if len(s.Index) > 0 {
		tir.Detail["highest_at"], tir.Detail["lowest_at"] = s.Index[high].Key(), s.Index[low].Key()
	}
	if s.Method == models.Extremes {
		return []Value{tir}, nil
	}
	y := make([]float64, holes)
	for i, v := range stations {
		y[s.Index[i].Place] = v.Float()
	}
	var reread *float64
	if len(s.Values) > len(stations) {
		again := s.Values[len(stations)].Float()
		reread = &again
	}
	analysis, err := s.analyse(y, reread)
	var apart *wheel.ClosureError
	switch {
	case errors.As(err, &apart):
		return nil, unusable(s, "drift_too_large", "got", strconv.FormatFloat(apart.Closure, 'f', 3, 64)+" mm", "most", "0.05 mm")
	case err != nil:
		return nil, fmt.Errorf("analyse %s run-out: %w", prefix, err)
	}
	if len(s.Masks) > 0 {
		tir.Detail["masked"] = maskedText(s.Masks)
	}
	if analysis.Closure != nil {
		tir.Detail["closure"] = strconv.FormatFloat(*analysis.Closure, 'f', 3, 64)
	}
	if analysis.Corrected {
		if tir.Value, err = measure.Round(analysis.TIR, s.decimalsOf(tir.Code, 4)); err != nil {
			return nil, fmt.Errorf("full reading of %s: %w", prefix, err)
		}
	}
	values := []Value{tir}
	add := func(code string, x float64, detail map[string]string) {
		var v measure.Decimal
		if v, err = measure.Round(x, s.decimalsOf(code, 4)); err == nil {
			values = append(values, Value{Code: code, Value: v, Unit: measure.MM, Method: s.Method, Readings: len(s.Values), Detail: detail})
		}
	}
	add(prefix+"_mean", analysis.Mean, nil)
	for _, h := range analysis.Harmonics {
		if h.K <= 3 && err == nil {
			add(fmt.Sprintf("%s_h%d", prefix, h.K), h.Amplitude, map[string]string{"phase_deg": strconv.FormatFloat(h.PhaseDeg, 'f', 1, 64)})
		}
	}
	if err != nil {
		return nil, fmt.Errorf("round results of %s run-out: %w", prefix, err)
	}
	return values, nil
}

// driftRemark says that a full reading is of values from which a drift was
// taken out, so that it is not highest less lowest of those shown.
func driftRemark(s *Set, holes int) ([]models.Remark, error) {
	stations := holes - len(s.Masks)
	if s.Method != models.EveryHole || len(s.Values) == stations {
		return nil, nil
	}
	drift, err := s.Values[stations].Sub(s.Values[0])
	if err != nil {
		return nil, fmt.Errorf("drift of %s: %w", s.Characteristic.Code, err)
	}
	if drift.Sign() == 0 {
		return nil, nil
	}
	return []models.Remark{models.NewRemark("drift_corrected", "characteristic", s.Characteristic.Code, "drift", drift.String(), "unit", string(measure.MM))}, nil
}

// reduceDish gives the offset of the rim toward side A, and how far it lies
// from the target, both exact. With two shoulders the offset is half the
// difference of the distances, B less A; with one face it is the distance read
// less the product's nominal one; a frame gauge shows the offset itself.
func reduceDish(s *Set, form models.WheelForm) ([]Value, error) {
	offset := s.Values[0]
	var err error
	switch form.DishReference {
	case models.DishFrameGauge:
	case models.DishFace:
		nominal, parseErr := measure.Parse(form.DishNominal)
		if parseErr != nil {
			return nil, unusable(s, "no_nominal_distance")
		}
		offset, err = wheel.DishFromFace(s.Values[0], nominal)
	default:
		at := map[int]measure.Decimal{}
		for i, p := range s.Index {
			at[p.Place] = s.Values[i]
		}
		offset, err = wheel.Dish(at[0], at[1])
	}
	if err != nil {
		return nil, fmt.Errorf("dish: %w", err)
	}
	target := measure.FromInt(0)
	if form.DishTarget != "" {
		if target, err = measure.Parse(form.DishTarget); err != nil {
			return nil, fmt.Errorf("dish target of the product: %w", err)
		}
	}
	abs, err := wheel.DishAbs(offset, target)
	if err != nil {
		return nil, fmt.Errorf("dish: %w", err)
	}
	value := Value{Unit: measure.MM, Method: s.Method, Readings: len(s.Values), Detail: map[string]string{"target": target.String(), "reference": form.DishReference}}
	first, second := value, value
	first.Code, first.Value = "dish_abs", abs
	second.Code, second.Value = "dish_offset", offset
	return []Value{first, second}, nil
}

type sideReadings struct {
	name  string
	set   *Set
	stats wheel.Side
}

// reduceTension gives what the tensions of each side say, and with both sides
// the tighter and looser mean, their ratio A to B and the lowest spoke.
func reduceTension(in Input) ([]Value, error) {
	var sides []sideReadings
	var values []Value
	for _, side := range []struct{ name, code string }{{"a", TensionA}, {"b", TensionB}} {
		s := in.find(side.code, models.EveryHole, models.Sample)
		if s == nil {
			continue
		}
		index, tension := make([]int, len(s.Values)), make([]float64, len(s.Values))
		for i, v := range s.Values {
			index[i], tension[i] = s.Index[i].Place, v.Float()
		}
		stats, err := wheel.SideStatistics(index, tension, in.Form.Wheel.Holes)
		if err != nil {
			if errors.Is(err, wheel.ErrInput) {
				return nil, unusable(s, "tension_unusable", "why", err.Error())
			}
			return nil, fmt.Errorf("side %s: %w", side.name, err)
		}
		sides = append(sides, sideReadings{side.name, s, stats})
		of := map[string]string{"spokes": fmt.Sprint(stats.N)}
		list := []rounded{
			{"side_tension_dev_pct_" + side.name, stats.MaxDevPct, measure.Percent, map[string]string{"at": fmt.Sprint(stats.MaxDevSpoke), "mean": strconv.FormatFloat(stats.Mean, 'f', 1, 64)}},
			{"tension_cv_pct_" + side.name, stats.CVPct, measure.Percent, of},
		}
		if stats.HasAdjacent {
			list = append(list, rounded{"adjacent_diff_pct_" + side.name, stats.MaxAdjacentPct, measure.Percent, map[string]string{"at": fmt.Sprint(stats.AdjacentAt)}})
		}
		if values, err = s.round(values, list, 3); err != nil {
			return nil, err
		}
	}
	if len(sides) < 2 {
		return values, nil
	}
	a, b := sides[0], sides[1]
	tight, loose := a, b
	if b.stats.Mean > a.stats.Mean {
		tight, loose = b, a
	}
	if loose.stats.Mean <= 0 {
		return nil, unusable(loose.set, "tension_unusable", "why", "no tension")
	}
	var err error
	for _, s := range []struct {
		code string
		side sideReadings
	}{{"tension_mean_tight", tight}, {"tension_mean_loose", loose}} {
		detail := map[string]string{"side": s.side.name, "spokes": fmt.Sprint(s.side.stats.N)}
		if values, err = a.set.round(values, []rounded{{s.code, s.side.stats.Mean, measure.Newton, detail}}, 2); err != nil {
			return nil, err
		}
		values[len(values)-1].Method, values[len(values)-1].Readings = s.side.set.Method, len(s.side.set.Values)
	}
	ratio := a.stats.Mean / b.stats.Mean
	detail := map[string]string{}
	if in.Form.Wheel.ExpectedRatio != "" {
		detail["expected"] = in.Form.Wheel.ExpectedRatio
	}
	if values, err = a.set.round(values, []rounded{{"side_ratio", ratio, measure.One, detail}}, 4); err != nil {
		return nil, err
	}
	values[len(values)-1].Readings += len(b.set.Values)
	return append(values, lowestTension(a.set, b.set)), nil
}

// lowestTension is the slackest spoke read, exact.
func lowestTension(sets ...*Set) Value {
	v := Value{Code: "tension_lowest", Unit: measure.Newton, Method: sets[0].Method, Value: sets[0].Values[0], Detail: map[string]string{"at": sets[0].Index[0].Key()}}
	for _, s := range sets {
		v.Readings += len(s.Values)
		if s.Method == models.Sample {
			v.Method = models.Sample
		}
		for i, x := range s.Values {
			if x.Cmp(v.Value) < 0 {
				v.Value, v.Detail = x, map[string]string{"at": s.Index[i].Key()}
			}
		}
	}
	return v
}

type rounded struct {
	code   string
	x      float64
	unit   measure.Unit
	detail map[string]string
}

// round appends float results, rounded once to the decimals the specification
// stores.
func (s *Set) round(values []Value, list []rounded, decimals int) ([]Value, error) {
	for _, r := range list {
		v, err := measure.Round(r.x, s.decimalsOf(r.code, decimals))
		if err != nil {
			return nil, fmt.Errorf("round %s: %w", r.code, err)
		}
		values = append(values, Value{Code: r.code, Value: v, Unit: r.unit, Method: s.Method, Readings: len(s.Values), Detail: r.detail})
	}
	return values, nil
}
