package kinds

import (
	"fmt"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/wheel"
)

// wheelDoubts says what the readings should make a person ask, as remarks of
// the inspection: a doubt refuses nothing and changes no verdict. The previous
// set is not at hand here, because every question to the database is time that
// somebody waits at the stand; the comparison after a round of turns has it.
func wheelDoubts(in Input, values []Value) ([]models.Remark, error) {
	m := wheel.Measured{TensionUnit: measure.Newton}
	for _, c := range []struct {
		code string
		into *[]float64
	}{{LateralRunOut, &m.Lateral}, {RadialRunOut, &m.Radial}} {
		if s := in.find(c.code, models.EveryHole); s != nil {
			y, err := s.around(in.Form.Wheel.Holes)
			if err != nil {
				return nil, fmt.Errorf("stations of %s: %w", c.code, err)
			}
			*c.into = y
		}
	}
	for _, v := range values {
		if v.Code == "dish_offset" {
			offset := v.Value.Float()
			m.DishOffset = &offset
		}
	}
	for _, code := range []string{TensionA, TensionB} {
		if s := in.find(code, models.EveryHole, models.Sample); s != nil {
			for i, v := range s.Values {
				m.TensionSpokes, m.Tension = append(m.TensionSpokes, s.Index[i].Place), append(m.Tension, v.Float())
			}
		}
	}
	if expected := in.Form.Wheel.ExpectedRatio; expected != "" {
		d, err := measure.Parse(expected)
		if err != nil {
			return nil, fmt.Errorf("expected side ratio of the product: %w", err)
		}
		m.ExpectedRatio = d.Float()
	}
	doubts, err := wheel.Doubts(m)
	if err != nil {
		return nil, fmt.Errorf("doubts about the readings: %w", err)
	}
	remarks := make([]models.Remark, len(doubts))
	for i, d := range doubts {
		remarks[i] = doubtRemark(d)
	}
	return remarks, nil
}

// around gives a run-out by spoke as it was read, drift and all, because a stuck
// indicator shows in values that are the same; a masked station follows the
// others.
func (s *Set) around(holes int) ([]float64, error) {
	y := make([]float64, holes)
	for i, v := range s.Values[:holes-len(s.Masks)] {
		y[s.Index[i].Place] = v.Float()
	}
	if len(s.Masks) == 0 {
		return y, nil
	}
	return wheel.Stations(y, nil, WheelMasks(s.Masks))
}

func doubtRemark(d wheel.Doubt) models.Remark {
	number := func(i, decimals int) string { return strconv.FormatFloat(d.Values[i], 'f', decimals, 64) }
	spoke := strconv.Itoa(d.Spoke + 1)
	switch d.Code {
	case wheel.LateralSpike, wheel.RadialSpike:
		return models.NewRemark(d.Code, "spoke", spoke, "bend", number(1, 2))
	case wheel.StuckGauge:
		return models.NewRemark(d.Code, "spoke", spoke, "count", number(1, 0))
	case wheel.GaugeNotZeroed:
		return models.NewRemark(d.Code, "mean", number(0, 2), "dish", number(1, 2))
	case wheel.OffItsSide:
		return models.NewRemark(d.Code, "spoke", spoke, "tension", number(0, 0), "mean", number(1, 0))
	case wheel.OtherFlank:
		return models.NewRemark(d.Code)
	}
	return models.NewRemark(d.Code, "mean_a", number(0, 0), "mean_b", number(1, 0))
}
