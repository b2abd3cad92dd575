package kinds

import (
	"reflect"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// CaseSound is the look at a block when it comes in.
const CaseSound = "case_sound"

var blockKind = Kind{
	Name:   models.KindBlock,
	Letter: 'B',
	Stages: []Stage{{models.Incoming, true}, {models.SecondReading, true}},
	Grades: []string{"standard"},

	characteristics: blockCharacteristics,
	place:           placeOnBlock,
	reduce:          reduceBlock,
}

// blockCharacteristics is what is read on one block: its voltage, at least the
// incoming minimum of its model; its resistance, inside the model's window; and
// the temperature both are corrected by. A second reading may be of the voltage
// alone, so resistance is asked for where blocks come in and not by the
// specification. Limits are common practice unless the model says its own.
func blockCharacteristics(_ string, form models.ProductForm) ([]models.Characteristic, error) {
	b := models.BlockForm{Chemistry: string(pack.AGM), Cells: pack.CellsPer12V}
	if form.Block != nil {
		b = *form.Block
	}
	whole := []string{models.Whole}
	sound := ticked(CaseSound)
	sound.Results[0].Required = nil
	return []models.Characteristic{
		{Code: BlockVoltage, Form: models.Measured, Unit: "V", Units: []string{"V", "mV"}, Methods: whole, Instrument: "voltmeter", Results: []models.Limit{
			{Result: "block_ocv25", Unit: "V", Decimals: 4, Low: BlockLimitText(b, "incoming_ocv_min_v"), Required: whole},
			{Result: "block_soc", Unit: "%", Decimals: 2}}},
		{Code: BlockResistance, Form: models.Measured, Unit: "mohm", Units: []string{"mohm", "ohm", "uohm", "S"}, Methods: whole, Instrument: "resistance_meter", Results: []models.Limit{
			{Result: "block_r25", Unit: "mohm", Decimals: 4, Low: b.ResistanceLow, High: b.ResistanceHigh}}},
		{Code: BlockTemperature, Form: models.Measured, Unit: "degC", Units: []string{"degC"}, Methods: whole, Instrument: "thermometer", Results: []models.Limit{
			{Result: "temperature", Unit: "degC", Decimals: 2, Required: whole}}},
		sound,
	}, nil
}

// ownOfBlock gives a product the limits of its model's form where those in force
// differ in them and in nothing else: what the form of a block model says is what
// its blocks are judged by.
func (k Kind) ownOfBlock(form models.ProductForm, family models.Specification) ([]models.Characteristic, bool, error) {
	own, err := k.characteristics(k.Grades[0], form)
	if err != nil {
		return nil, false, err
	}
	limits := byResult(own)
	list, changed := withLimits(family.Characteristics, func(l models.Limit) models.Limit {
		if o, ok := limits[l.Result]; ok && (l.Result == "block_ocv25" || l.Result == "block_r25") {
			l.Low, l.High = o.Low, o.High
		}
		return l
	})
	return list, changed, nil
}

// placeOnBlock: one value of everything.
func placeOnBlock(_ models.ProductForm, s *Set) *models.Remark {
	if s.Characteristic.Form == models.Measured && len(s.Values) != 1 {
		return count(len(s.Values), 1)
	}
	at := []models.Position{models.Spoke(0)}
	if len(s.Index) > 0 && !reflect.DeepEqual(s.Index, at) {
		r := models.NewRemark("index_out_of_range", "position", s.Index[0].Shown())
		return &r
	}
	s.Index = at
	return nil
}

// reduceBlock corrects voltage and resistance to 25 degrees and reads the charge.
// A voltage of wrong polarity keeps its sign and fails: it has no charge.
func reduceBlock(in Input) (Reduction, error) {
	form := *in.Form.Block
	var out Reduction
	temperature := in.find(BlockTemperature, models.Whole)
	if temperature != nil {
		out.Values = append(out.Values, Value{Code: "temperature", Value: temperature.Values[0], Unit: measure.Celsius, Method: models.Whole, Readings: 1})
	}
	voltage, resistance := in.find(BlockVoltage, models.Whole), in.find(BlockResistance, models.Whole)
	for _, s := range []*Set{voltage, resistance} {
		if s != nil && temperature == nil {
			return Reduction{}, unusable(s, "temperature_missing")
		}
	}
	if voltage != nil {
		if err := blockVoltage(form, in.Conditions, voltage, temperature.Values[0], &out); err != nil {
			return Reduction{}, err
		}
	}
	if resistance != nil {
		if err := blockResistance(form, resistance, temperature.Values[0], &out); err != nil {
			return Reduction{}, err
		}
	}
	out.Values = append(out.Values, ticks(in)...)
	return out, nil
}

// blockVoltage gates the voltage, corrects it when it was read 5 K or more from
// 25 degrees, as on a pack, and reads the charge.
func blockVoltage(form models.BlockForm, c models.Conditions, s *Set, temperature measure.Decimal, out *Reduction) error {
	one := packReadings{form: models.PackForm{MinRestHours: BlockLimitText(form, "rest_min_h")}, block: form, blocks: []models.Position{models.Spoke(0)},
		voltage: map[models.Position]measure.Decimal{models.Spoke(0): s.Values[0]}}
	if err := one.gate(s, c, out); err != nil {
		return err
	}
	v, t := s.Values[0], temperature.Float()
	detail := map[string]string{"read": v.String(), "temperature_c": temperature.String()}
	if pack.Chemistry(form.Chemistry).LeadAcid() {
		at25, err := pack.OCVTo25(v.Float(), form.Cells, t, pack.OCVCoefficient)
		if err != nil {
			return unusable(s, "temperature_unusable", "position", "1", "why", err.Error())
		}
		if t <= 25-noCorrectionWithin || t >= 25+noCorrectionWithin {
			if v, err = measure.Round(at25, s.decimalsOf("block_ocv25", 4)); err != nil {
				return unusable(s, "voltage_unusable", "position", "1", "why", err.Error())
			}
			detail["corrected"] = "yes"
		}
	}
	out.Values = append(out.Values, Value{Code: "block_ocv25", Value: v, Unit: measure.Volt, Method: s.Method, Readings: 1, Detail: detail})
	return charge(form, "", models.Spoke(0), v, s, out)
}

// blockResistance corrects a resistance to 25 degrees. One measured another way
// than the model's is another quantity and is refused.
func blockResistance(form models.BlockForm, s *Set, temperature measure.Decimal, out *Reduction) error {
	if err := mannerOf(form, s); err != nil {
		return err
	}
	at25, err := pack.IRTo25(s.Values[0].Float(), temperature.Float(), pack.IRCoefficient)
	if err != nil {
		return unusable(s, "resistance_unusable", "position", "1", "why", err.Error())
	}
	v, err := measure.Round(at25, s.decimalsOf("block_r25", 4))
	if err != nil {
		return unusable(s, "resistance_unusable", "position", "1", "why", err.Error())
	}
	out.Values = append(out.Values, Value{Code: "block_r25", Value: v, Unit: measure.Milliohm, Method: s.Method, Readings: 1,
		Detail: map[string]string{"read": s.Values[0].String(), "manner": s.Manner, "temperature_c": temperature.String()}})
	if remark := plausible(form, models.Spoke(0), v); remark != nil {
		out.Remarks = append(out.Remarks, *remark)
	}
	return nil
}
