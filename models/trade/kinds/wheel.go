package kinds

import (
	"fmt"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// Characteristics of a wheel.
const (
	LateralRunOut = "lateral_runout"
	RadialRunOut  = "radial_runout"
	TensionA      = "tension_a"
	TensionB      = "tension_b"
	Dish          = "dish"
)

// wheelTicks is the short list of a hub-motor wheel. Common practice, no source.
var wheelTicks = []string{"spokes_seated", "nipples_flush", "cable_sound", "axle_thread", "spins_freely", "washer_seat"}

var wheelKind = Kind{
	Name:   models.KindWheel,
	Letter: 'W',
	Stages: []Stage{{models.BeforeRelief, false}, {models.AfterRelief, true}, {models.Recheck, true}},
	Grades: []string{"standard", "fine", "utility", "minimum"},

	characteristics: wheelCharacteristics,
	place:           placeOnWheel,
	reduce:          reduceWheel,
	fit:             fitWheel,
}

// wheelCharacteristics is the default specification of a wheel: the limits of
// a grade, and for tension the tighter side's mean of 800 to 1300 N with no
// spoke under 450 N. All common practice, no source; the rim maker's maximum
// tension comes first and lowers the upper limit where the form names it.
func wheelCharacteristics(grade string, form models.ProductForm) ([]models.Characteristic, error) {
	if form.Wheel == nil {
		form.Wheel = &models.WheelForm{Holes: 36}
	}
	g, ok := wheel.GradeNamed(grade)
	if !ok {
		return nil, models.Invalid("grade", "unknown_grade", "grade", grade)
	}
	highest := measure.FromInt(wheel.TightSideMeanHighN)
	if most, err := measure.Parse(form.Wheel.RimMaxTension); err == nil {
		highest = measure.Min(highest, most)
	}
	sampleA, sampleB, err := wheel.DefaultSample(form.Wheel.Holes)
	if err != nil {
		return nil, fmt.Errorf("default specification of a wheel: %w", err)
	}
	runOut := func(code, prefix, limit string) models.Characteristic {
		c := models.Characteristic{Code: code, Form: models.Measured, Unit: "mm", Units: []string{"mm"},
			Methods: []string{models.Extremes, models.EveryHole}, Instrument: "dial",
			Results: []models.Limit{{Result: prefix + "_tir", Unit: "mm", Decimals: 4, High: limit, Required: []string{models.Extremes, models.EveryHole}}}}
		for _, h := range []string{"_mean", "_h1", "_h2", "_h3"} {
			c.Results = append(c.Results, models.Limit{Result: prefix + h, Unit: "mm", Decimals: 4, Required: []string{models.EveryHole}})
		}
		return c
	}
	tension := func(side string, sample []int) models.Characteristic {
		both, every := []string{models.EveryHole, models.Sample}, []string{models.EveryHole}
		return models.Characteristic{Code: "tension_" + side, Form: models.Measured, Unit: "N", Units: []string{"N", "kgf", "lbf", "div"},
			Methods: []string{models.Sample, models.EveryHole}, Instrument: "tension_gauge", Sample: sample,
			Results: []models.Limit{
				{Result: "side_tension_dev_pct_" + side, Unit: "%", Decimals: 3, High: g.SideDevPct, Required: both},
				{Result: "adjacent_diff_pct_" + side, Unit: "%", Decimals: 3, High: g.AdjacentPct, Required: every},
				{Result: "tension_cv_pct_" + side, Unit: "%", Decimals: 3, Warn: g.CVWarnPct, Required: both},
			}}
	}
	a := tension("a", sampleA)
	both := []string{models.EveryHole, models.Sample}
	a.Results = append([]models.Limit{
		{Result: "tension_mean_tight", Unit: "N", Decimals: 2, Low: strconv.Itoa(wheel.TightSideMeanLowN), High: highest.String(), Required: both},
		{Result: "tension_lowest", Unit: "N", Decimals: 2, Low: strconv.Itoa(wheel.LowestTensionN), Required: both},
		{Result: "tension_mean_loose", Unit: "N", Decimals: 2, Required: both},
		{Result: "side_ratio", Unit: "1", Decimals: 4, Required: both},
	}, a.Results...)
	list := []models.Characteristic{
		runOut(LateralRunOut, "lateral", g.LateralTIR),
		runOut(RadialRunOut, "radial", g.RadialTIR),
		{Code: Dish, Form: models.Measured, Unit: "mm", Units: []string{"mm"}, Methods: []string{models.Whole}, Instrument: "dish_gauge",
			Results: []models.Limit{
				{Result: "dish_abs", Unit: "mm", Decimals: 4, High: g.DishAbs, Required: []string{models.Whole}},
				{Result: "dish_offset", Unit: "mm", Decimals: 4, Required: []string{models.Whole}},
			}},
		a, tension("b", sampleB),
	}
	for _, code := range wheelTicks {
		list = append(list, ticked(code))
	}
	return list, nil
}

// placeOnWheel checks the places of a wheel's readings: every hole once in any
// order, and for run-out one more at data index 0 as the reread; two spokes
// less the masked ones, which are not read; two spokes for extremes; at least as many named spokes of the side as the specification
// samples; side A then side B for a dish from two shoulders.
func placeOnWheel(form models.ProductForm, s *Set) *models.Remark {
	holes := form.Wheel.Holes
	code, n := s.Characteristic.Code, len(s.Values)
	if s.Characteristic.Form != models.Measured {
		s.Index = []models.Position{models.Spoke(0)}
		return nil
	}
	for _, p := range s.Index {
		if p.IsBlock() || p.Place < 0 || p.Place >= holes {
			r := models.NewRemark("index_out_of_range", "position", p.Shown(), "holes", fmt.Sprint(holes))
			return &r
		}
	}
	switch code {
	case LateralRunOut, RadialRunOut:
		return placeRunOut(holes, s)
	case TensionA, TensionB:
		return placeTension(holes, s)
	case Dish:
		wanted := 2
		if form.Wheel.DishReference == models.DishFace || form.Wheel.DishReference == models.DishFrameGauge {
			wanted = 1
		}
		if n != wanted {
			return count(n, wanted)
		}
		wantedAt := []models.Position{models.Spoke(0), models.Spoke(1)}[:wanted]
		if len(s.Index) == 0 {
			s.Index = wantedAt
		}
		return once(s.Index, wantedAt)
	}
	return nil
}

func placeRunOut(holes int, s *Set) *models.Remark {
	n, read := len(s.Values), holes-len(s.Masks)
	if s.Method == models.Extremes {
		if n != 2 {
			return count(n, 2)
		}
		if s.Values[0].Cmp(s.Values[1]) < 0 {
			r := models.NewRemark("lowest_above_highest", "highest", s.Values[0].String(), "lowest", s.Values[1].String())
			return &r
		}
		if len(s.Index) != 0 && len(s.Index) != 2 {
			return count(len(s.Index), 2)
		}
		return nil
	}
	if n != read && n != read+1 {
		return count(n, read)
	}
	if len(s.Index) == 0 {
		for j := range n {
			s.Index = append(s.Index, models.Spoke(j%holes))
		}
		return nil
	}
	stations := s.Index
	if n == read+1 {
		if s.Index[read] != models.Spoke(0) {
			r := models.NewRemark("reread_is_of_station_0", "position", s.Index[read].Shown())
			return &r
		}
		stations = s.Index[:read]
	}
	return once(stations, slices.DeleteFunc(spokes(0, holes, 1), s.masked))
}

func placeTension(holes int, s *Set) *models.Remark {
	first := 0
	if s.Characteristic.Code == TensionB {
		first = 1
	}
	side := spokes(first, holes, 2)
	n := len(s.Values)
	if len(s.Index) == 0 {
		if s.Method == models.Sample {
			for _, j := range sampleOn(holes, s.Characteristic) {
				s.Index = append(s.Index, models.Spoke(j))
			}
		} else {
			s.Index = side
		}
		if n != len(s.Index) {
			return count(n, len(s.Index))
		}
	}
	for _, p := range s.Index {
		if p.Place%2 != first {
			r := models.NewRemark("wrong_side", "position", p.Shown())
			return &r
		}
	}
	if s.Method == models.EveryHole {
		return once(s.Index, side)
	}
	if least := max(2, len(s.Characteristic.Sample)); n < least {
		return count(n, least)
	}
	return once(s.Index, s.Index)
}

// sampleOn is the specification's sample of a side, or the default one of a
// wheel with fewer holes than the sample was made for.
func sampleOn(holes int, c models.Characteristic) []int {
	if !slices.ContainsFunc(c.Sample, func(j int) bool { return j >= holes }) && !madeForMore(holes, c) {
		return c.Sample
	}
	if spread := defaultSample(holes, c.Code); spread != nil {
		return spread
	}
	return c.Sample
}

// madeForMore says whether a sample is the default one of more holes than the wheel
// has: of a smaller wheel it is spread unevenly, though all its spokes may be there.
func madeForMore(holes int, c models.Characteristic) bool {
	for more := holes + 2; more <= mostHoles; more += 2 {
		if slices.Equal(c.Sample, defaultSample(more, c.Code)) {
			return true
		}
	}
	return false
}

// mostHoles is the largest wheel whose default sample is known again.
const mostHoles = 72

// defaultSample is that of a side; nil of a wheel that has none.
func defaultSample(holes int, code string) []int {
	a, b, err := wheel.DefaultSample(holes)
	switch {
	case err != nil:
		return nil
	case code == TensionB:
		return b
	}
	return a
}

// fitWheel gives the characteristics as they are read on one product.
func fitWheel(form models.ProductForm, list []models.Characteristic) []models.Characteristic {
	fitted := slices.Clone(list)
	for i, c := range fitted {
		if c.Code == TensionA || c.Code == TensionB {
			fitted[i].Sample = sampleOn(form.Wheel.Holes, c)
		}
	}
	return fitted
}

func spokes(first, holes, step int) []models.Position {
	var list []models.Position
	for j := first; j < holes; j += step {
		list = append(list, models.Spoke(j))
	}
	return list
}
