package kinds

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// noCorrectionWithin is how far from 25 degrees a voltage is taken as it
// stands, K. Common practice, no source.
const noCorrectionWithin = 5.0

// packReadings are the readings of a pack by block, in the order of the string.
type packReadings struct {
	form        models.PackForm
	block       models.BlockForm // one of its blocks
	blocks      []models.Position
	voltage     map[models.Position]measure.Decimal
	resistance  map[models.Position]measure.Decimal
	temperature map[models.Position]measure.Decimal
	ocv25       map[models.Position]measure.Decimal
}

func reducePack(in Input) (Reduction, error) {
	r := packReadings{form: *in.Form.Pack, block: PackBlock(*in.Form.Pack), blocks: blocksOf(in.Form.Pack), temperature: map[models.Position]measure.Decimal{}}
	temperature := in.find(BlockTemperature, models.EveryBlock, models.Whole)
	if temperature != nil {
		r.temperature = byPosition(temperature, r.blocks)
	}
	var out Reduction
	if temperature != nil {
		out.Values = append(out.Values, middleTemperature(temperature))
	}
	if s := in.find(BlockVoltage, models.EveryBlock); s != nil {
		r.voltage = byPosition(s, r.blocks)
		if temperature == nil {
			return Reduction{}, unusable(s, "temperature_missing")
		}
		if err := r.reduceVoltage(s, in, &out); err != nil {
			return Reduction{}, err
		}
	}
	if s := in.find(BlockResistance, models.EveryBlock); s != nil {
		r.resistance = byPosition(s, r.blocks)
		if temperature == nil {
			return Reduction{}, unusable(s, "temperature_missing")
		}
		if err := r.reduceResistance(s, &out); err != nil {
			return Reduction{}, err
		}
	}
	if s := in.find(PackVoltage, models.Whole); s != nil && r.voltage != nil {
		if err := r.reduceStrings(s, &out); err != nil {
			return Reduction{}, err
		}
	}
	out.Values = append(out.Values, ticks(in)...)
	return out, nil
}

func byPosition(s *Set, blocks []models.Position) map[models.Position]measure.Decimal {
	at := make(map[models.Position]measure.Decimal, len(blocks))
	for i, p := range s.Index {
		at[p] = s.Values[i]
	}
	if len(s.Values) == 1 && s.Method == models.Whole {
		for _, b := range blocks {
			at[b] = s.Values[0]
		}
	}
	return at
}

// middleTemperature is the median of the temperatures read, exact: one of the
// readings, the lower middle one of an even number.
func middleTemperature(s *Set) Value {
	sorted := slices.Clone(s.Values)
	slices.SortFunc(sorted, measure.Decimal.Cmp)
	return Value{Code: "temperature", Value: sorted[(len(sorted)-1)/2], Unit: measure.Celsius, Method: s.Method, Readings: len(s.Values)}
}

// reduceVoltage gates the voltages, brings them to 25 degrees (a = 0.0002 V/K
// a cell of lead-acid; left as read within 5 K of it), and gives each block's state of
// charge, the lowest and the widest range inside a string.
func (r packReadings) reduceVoltage(s *Set, in Input, out *Reduction) error {
	if err := r.gate(s, in.Conditions, out); err != nil {
		return err
	}
	out.Remarks = append(out.Remarks, r.farFromBlock()...)
	r.ocv25 = make(map[models.Position]measure.Decimal, len(r.blocks))
	chemistry := pack.Chemistry(r.form.Chemistry)
	for _, b := range r.blocks {
		v, t := r.voltage[b], r.temperature[b].Float()
		detail := map[string]string{"read": v.String(), "temperature_c": r.temperature[b].String()}
		if chemistry.LeadAcid() && (t <= 25-noCorrectionWithin || t >= 25+noCorrectionWithin) {
			at25, err := pack.OCVTo25(v.Float(), r.form.Cells, t, pack.OCVCoefficient)
			if err != nil {
				return unusable(s, "temperature_unusable", "position", b.Shown(), "why", err.Error())
			}
			if v, err = measure.Round(at25, s.decimalsOf("block_ocv25", 4)); err != nil {
				return fmt.Errorf("round voltage of block %s: %w", b.Key(), err)
			}
			detail["corrected"] = "yes"
		}
		r.ocv25[b] = v
		out.Values = append(out.Values, Value{Code: "block_ocv25", Position: b.Key(), Value: v, Unit: measure.Volt, Method: s.Method, Readings: 1, Detail: detail})
		if err := charge(r.block, b.Key(), b, v, s, out); err != nil {
			return err
		}
	}
	lowest := r.blocks[0]
	for _, b := range r.blocks {
		if r.ocv25[b].Cmp(r.ocv25[lowest]) < 0 {
			lowest = b
		}
	}
	out.Values = append(out.Values, Value{Code: "ocv_lowest", Value: r.ocv25[lowest], Unit: measure.Volt, Method: s.Method, Readings: len(r.blocks), Detail: map[string]string{"at": lowest.Key()}})
	spread, at, err := r.widest(func(values []measure.Decimal) (measure.Decimal, error) {
		return measure.Max(values[0], values[1:]...).Sub(measure.Min(values[0], values[1:]...))
	}, r.ocv25)
	if err != nil {
		return fmt.Errorf("spread of voltage: %w", err)
	}
	out.Values = append(out.Values, Value{Code: "ocv_spread", Value: spread, Unit: measure.Volt, Method: s.Method, Readings: len(r.blocks), Detail: map[string]string{"string": fmt.Sprint(at)}})
	return r.grade(out)
}

// charge gives the state of charge of a block by the table of its model. Where it
// is not known the result is left out, and a voltage that says nothing of it is
// remarked on, once.
func charge(block models.BlockForm, position string, at models.Position, ocv25 measure.Decimal, s *Set, out *Reduction) error {
	soc, why := BlockCharge(block, ocv25.Float())
	if why == ChargeOnPlateau && !slices.ContainsFunc(out.Remarks, func(m models.Remark) bool { return m.Code == why }) {
		out.Remarks = append(out.Remarks, models.NewRemark(why, "position", at.Shown(), "value", ocv25.String()))
	}
	if why != "" {
		return nil
	}
	pct, err := measure.Round(soc, s.decimalsOf("block_soc", 2))
	if err != nil {
		return fmt.Errorf("round state of charge of block %s: %w", at.Shown(), err)
	}
	out.Values = append(out.Values, Value{Code: "block_soc", Position: position, Value: pct, Unit: measure.Percent, Method: s.Method, Readings: 1})
	return nil
}

// farFromBlock says once of voltages that no block of these cells shows, either way
// round, that they are to be read again: they were believed because they were typed
// twice. As with a wheel's doubts the verdict stays.
func (r packReadings) farFromBlock() []models.Remark {
	low, high := pack.BlockVoltages(pack.Chemistry(r.form.Chemistry), r.form.Cells)
	far := slices.DeleteFunc(slices.Clone(r.blocks), func(b models.Position) bool {
		v := math.Abs(r.voltage[b].Float())
		return v >= low && v <= high
	})
	if len(far) == 0 {
		return nil
	}
	code := "voltage_in_doubt"
	if len(far) > 1 {
		code = "voltages_in_doubt"
	}
	volts := func(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }
	return []models.Remark{models.NewRemark(code, "position", far[0].Shown(), "value", r.voltage[far[0]].String(), "count", strconv.Itoa(len(far)), "low", volts(low), "high", volts(high))}
}

// gate says whether the voltages are rest voltages. Each block is asked, since
// surface charge shows on one alone; the reasons are told once.
func (r packReadings) gate(s *Set, c models.Conditions, out *Reduction) error {
	rest, err := optional(c.RestHours)
	if err != nil {
		return unusable(s, "rest_missing")
	}
	load, err := optional(c.LoadA)
	if err != nil {
		return unusable(s, "load_unusable")
	}
	minRest, err := optional(r.form.MinRestHours)
	if err != nil {
		return fmt.Errorf("rest asked for by the product: %w", err)
	}
	if c.RestHours == "" {
		return unusable(s, "rest_missing")
	}
	told := map[string]bool{}
	for _, b := range r.blocks {
		reading := pack.Reading{Chemistry: pack.Chemistry(r.block.Chemistry), OCV: r.voltage[b].Float(), Cells: r.block.Cells, FullV: fullVolts(r.block),
			RestH: rest, MinRestH: minRest, OnCharger: c.OnCharger, LoadA: load}
		valid, reasons, err := pack.Gate(reading)
		if err != nil {
			return unusable(s, "voltage_unusable", "position", b.Shown(), "why", err.Error())
		}
		if valid {
			continue
		}
		if pack.Provisional(reasons, rest) {
			out.Provisional = true
		} else {
			out.Unjudged = true
		}
		for _, reason := range reasons {
			if !told[reason] {
				told[reason] = true
				out.Remarks = append(out.Remarks, models.NewRemark(reason, "position", b.Shown(), "rest", c.RestHours+" h", "least", r.form.MinRestHours+" h", "limit", strconv.FormatFloat(reading.SurfaceLimit(), 'f', 2, 64)+" V"))
			}
		}
	}
	return nil
}

// grade tells which grade the blocks would reach by voltage: a remark, not a
// second verdict.
func (r packReadings) grade(out *Reduction) error {
	if out.Unjudged {
		return nil
	}
	limits, ok := readyLimits(r.form)
	if !ok {
		return nil // lithium has no grade by voltage
	}
	values := make([]measure.Decimal, len(r.blocks))
	for i, b := range r.blocks {
		if values[i] = r.ocv25[b]; values[i].Sign() <= 0 {
			return nil // a reversed block has no grade; its reading is remarked beside the series sum
		}
	}
	ready, err := pack.ReadyToShip(values, r.form.Cells, limits)
	if err != nil {
		return fmt.Errorf("grade of the pack: %w", err)
	}
	code := map[string]string{pack.GradeA: "grade_a", pack.GradeB: "grade_b", pack.Rework: "grade_rework", pack.Quarantine: "grade_quarantine"}[ready.Grade]
	out.Remarks = append(out.Remarks, models.NewRemark(code, "lowest", ready.Lowest.String(), "range", ready.Range.String()))
	return nil
}

// reduceResistance brings resistances to 25 degrees (b = -0.005 /K) and gives
// the widest range inside a string over its median, per cent.
func (r packReadings) reduceResistance(s *Set, out *Reduction) error {
	if err := mannerOf(r.block, s); err != nil {
		return err
	}
	at25 := make(map[models.Position]measure.Decimal, len(r.blocks))
	for _, b := range r.blocks {
		v, err := pack.IRTo25(r.resistance[b].Float(), r.temperature[b].Float(), pack.IRCoefficient)
		if err != nil {
			return unusable(s, "resistance_unusable", "position", b.Shown(), "why", err.Error())
		}
		if at25[b], err = measure.Round(v, s.decimalsOf("block_r25", 4)); err != nil {
			return fmt.Errorf("round resistance of block %s: %w", b.Key(), err)
		}
		out.Values = append(out.Values, Value{Code: "block_r25", Position: b.Key(), Value: at25[b], Unit: measure.Milliohm, Method: s.Method, Readings: 1,
			Detail: map[string]string{"read": r.resistance[b].String(), "manner": s.Manner}})
		// Every block in another unit lies as evenly as in the right one.
		if remark := plausible(r.block, b, at25[b]); remark != nil {
			out.Remarks, out.Unjudged = append(out.Remarks, *remark), true
		}
	}
	spread, at, err := r.widest(rangeOverMedian(s.decimalsOf("resistance_spread_pct", 3)), at25)
	if err != nil {
		return unusable(s, "resistance_unusable", "why", err.Error())
	}
	out.Values = append(out.Values, Value{Code: "resistance_spread_pct", Value: spread, Unit: measure.Percent, Method: s.Method, Readings: len(r.blocks),
		Detail: map[string]string{"string": fmt.Sprint(at), "manner": s.Manner}})
	return nil
}

// mannerOf refuses a resistance measured another way than the model's figures, or
// by no way that is known: they are different quantities.
func mannerOf(block models.BlockForm, s *Set) error {
	switch {
	case s.Manner != models.ResistanceAC && s.Manner != models.ResistanceDC:
		return unusable(s, "manner_needed")
	case block.ResistanceMethod != "" && s.Manner != block.ResistanceMethod:
		return unusable(s, "manner_of_model")
	}
	return nil
}

// plausible compares a resistance with the window of its model; outside it a
// remark says which unit it may have been meant in. Nothing is converted; a pack
// whose readings are in doubt is kept and not judged.
func plausible(block models.BlockForm, b models.Position, r25 measure.Decimal) *models.Remark {
	low, errLow := measure.Parse(block.ResistanceLow)
	high, errHigh := measure.Parse(block.ResistanceHigh)
	if errLow != nil || errHigh != nil {
		return nil
	}
	guess, _, _, err := pack.GuessUnit(r25.Float(), low.Float(), high.Float())
	if err != nil || guess == pack.UnitOK {
		return nil
	}
	remark := models.NewRemark("resistance_unit_in_doubt", "position", b.Shown(), "value", r25.String(), "guess", string(guess))
	return &remark
}

func rangeOverMedian(decimals int) func([]measure.Decimal) (measure.Decimal, error) {
	return func(values []measure.Decimal) (measure.Decimal, error) {
		sorted := slices.Clone(values)
		slices.SortFunc(sorted, measure.Decimal.Cmp)
		n := len(sorted)
		median := (sorted[(n-1)/2].Float() + sorted[n/2].Float()) / 2
		return measure.Round(100*(sorted[n-1].Float()-sorted[0].Float())/median, decimals)
	}
}

// widest gives the largest figure of any string, and which string has it.
func (r packReadings) widest(figure func([]measure.Decimal) (measure.Decimal, error), at map[models.Position]measure.Decimal) (measure.Decimal, int, error) {
	var worst measure.Decimal
	where := 0
	for str := 1; str <= r.form.Strings; str++ {
		values := make([]measure.Decimal, r.form.Blocks)
		for i := range values {
			values[i] = at[models.Block(str, i+1)]
		}
		x, err := figure(values)
		if err != nil {
			return measure.Decimal{}, 0, err
		}
		if where == 0 || x.Cmp(worst) > 0 {
			worst, where = x, str
		}
	}
	return worst, where, nil
}

// reduceStrings compares each string's voltage with the sum of its blocks, and
// the strings with each other.
func (r packReadings) reduceStrings(s *Set, out *Reduction) error {
	tolerance, err := pack.DefaultSumTolerance(r.form.Blocks)
	if err != nil {
		return fmt.Errorf("tolerance of the series sum: %w", err)
	}
	worst := Value{Code: "series_difference", Unit: measure.Volt, Method: s.Method, Readings: len(s.Values)}
	totals := make([]measure.Decimal, r.form.Strings)
	for i, p := range s.Index {
		totals[p.String-1] = s.Values[i]
	}
	for str := 1; str <= r.form.Strings; str++ {
		blocks := make([]measure.Decimal, r.form.Blocks)
		for i := range blocks {
			blocks[i] = r.voltage[models.Block(str, i+1)]
		}
		sum, err := pack.SeriesSum(blocks, totals[str-1], tolerance)
		if err != nil {
			return unusable(s, "voltage_unusable", "position", fmt.Sprint(str), "why", err.Error())
		}
		if abs := sum.Diff.Abs(); str == 1 || abs.Cmp(worst.Value) > 0 {
			worst.Value = abs
			worst.Detail = map[string]string{"string": fmt.Sprint(str), "sum": sum.Sum.String(), "difference": sum.Diff.String()}
		}
		for i, v := range blocks {
			if v.Sign() < 0 {
				out.Remarks = append(out.Remarks, models.NewRemark("block_reads_negative", "position", models.Block(str, i+1).Shown(), "value", v.String()))
			}
		}
		if sum.LeadsReversed {
			out.Remarks = append(out.Remarks, models.NewRemark("leads_reversed", "string", fmt.Sprint(str), "value", totals[str-1].String()))
		}
		if sum.Verdict != pack.SumOK {
			places := ""
			for i, place := range sum.Candidates {
				if i > 0 {
					places += ", "
				}
				places += strconv.Itoa(place)
			}
			out.Remarks = append(out.Remarks, models.NewRemark(sum.Verdict, "string", fmt.Sprint(str), "places", places, "difference", sum.Diff.String()))
		}
	}
	out.Values = append(out.Values, worst)
	if r.form.Strings < 2 {
		return nil
	}
	join, err := pack.JoinStrings(totals, pack.Chemistry(r.form.Chemistry), r.form.Cells*r.form.Blocks)
	if err != nil {
		return fmt.Errorf("difference of strings: %w", err)
	}
	out.Values = append(out.Values, Value{Code: "string_difference", Value: join.Range, Unit: measure.Volt, Method: s.Method, Readings: len(totals)})
	return nil
}

// optional is 0 for an empty text.
func optional(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	d, err := measure.ParseReading(text)
	if err != nil {
		return 0, err
	}
	return d.Float(), nil
}
