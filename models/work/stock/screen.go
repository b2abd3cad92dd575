package stock

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// Loss is what a block lost between two readings at rest.
type Loss struct {
	Block         models.StockBlock
	First, Second models.StockReading
	MVDay, Z      float64
	Days          float64
	Flagged       bool
	Why           []models.Remark // of a flag, or worth saying
}

// Screening is a lot, its blocks compared with each other.
type Screening struct {
	Model models.Product // zero where nothing of the lot was taken in
	// Others are further models in the lot, each compared by itself. Form, Median,
	// Step and Rule are those of Model, which most of the blocks are.
	Others     []models.Product
	Form       models.BlockForm
	LotID, Lot string
	Blocks     int // of the lot
	Losses     []Loss
	// NotCompared are blocks with fewer than two readings that may be compared,
	// each with why.
	NotCompared []NotCompared
	Flagged     int
	Median      float64 // loss, mV a day
	Step        float64 // loss that one step of the meter makes, mV a day
	Rule        pack.LotResult
	Reasons     []models.Remark // to doubt the whole lot
}

// NotCompared is a block that could not be screened.
type NotCompared struct {
	Block models.StockBlock
	Why   models.Remark
}

// Screen compares the blocks of a lot: what each lost between its first and its
// newest reading at rest, and whether the lot as a whole is in doubt.
func (s *Service) Screen(ctx context.Context, lotCode string) (Screening, error) {
	lots, err := s.store.LotsByCode(ctx, []string{lotCode})
	if err != nil {
		return Screening{}, fmt.Errorf("find lot %.40q: %w", lotCode, err)
	}
	if len(lots) == 0 {
		return Screening{}, fmt.Errorf("lot %.40q: %w", lotCode, models.ErrNotFound)
	}
	blocks, err := s.store.StockOfLot(ctx, lots[0].ID)
	if err != nil {
		return Screening{}, err
	}
	out := Screening{LotID: lots[0].ID, Lot: lots[0].Code}
	for _, of := range byModel(blocks) {
		product, form, err := s.model(ctx, *of[0].Item.ProductID, "lot")
		if err != nil {
			return Screening{}, err
		}
		model, err := s.store.StockOf(ctx, product.ID)
		if err != nil {
			return Screening{}, err
		}
		v, err := s.screen(form, lots[0].ID, lots[0].Code, of, resistances(model))
		if err != nil {
			return Screening{}, err
		}
		v.Model = product
		out = out.with(v)
	}
	return out, nil
}

// byModel parts the blocks of a lot by their model, most blocks first: those of
// another model are another lot, whatever the box says. Of a block without a model
// nothing can be said.
func byModel(blocks []models.StockBlock) [][]models.StockBlock {
	at := map[string]int{}
	var parts [][]models.StockBlock
	for _, b := range blocks {
		if b.Item.ProductID == nil {
			continue
		}
		i, known := at[*b.Item.ProductID]
		if !known {
			i = len(parts)
			at[*b.Item.ProductID], parts = i, append(parts, nil)
		}
		parts[i] = append(parts[i], b)
	}
	slices.SortStableFunc(parts, func(a, b []models.StockBlock) int { return len(b) - len(a) })
	return parts
}

// with adds what was found among the blocks of another model of the lot, each
// model compared by itself and by its own limits.
func (v Screening) with(other Screening) Screening {
	if v.Blocks == 0 {
		return other
	}
	v.Others = append(v.Others, other.Model)
	v.Blocks, v.Flagged = v.Blocks+other.Blocks, v.Flagged+other.Flagged
	v.Losses, v.NotCompared, v.Reasons = append(v.Losses, other.Losses...), append(v.NotCompared, other.NotCompared...), append(v.Reasons, other.Reasons...)
	return v
}

// screenLot compares the blocks of one model in a lot.
func (s *Service) screenLot(ctx context.Context, productID string, form models.BlockForm, lotID string, model []float64) (Screening, error) {
	blocks, err := s.store.StockOfLot(ctx, lotID)
	if err != nil {
		return Screening{}, err
	}
	code := ""
	if len(blocks) > 0 {
		code = blocks[0].Lot
	}
	blocks = slices.DeleteFunc(blocks, func(b models.StockBlock) bool { return b.Item.ProductID == nil || *b.Item.ProductID != productID })
	return s.screen(form, lotID, code, blocks, model)
}

// screen compares blocks of one lot; model are resistances of the model.
func (s *Service) screen(form models.BlockForm, lotID, code string, blocks []models.StockBlock, model []float64) (Screening, error) {
	out := Screening{Form: form, LotID: lotID, Lot: code, Blocks: len(blocks)}
	var losses pack.Losses
	for _, b := range blocks {
		loss, why, err := pairOf(form, b)
		if err != nil {
			return Screening{}, fmt.Errorf("block %s: %w", b.Item.Name(), err)
		}
		if why != nil {
			out.NotCompared = append(out.NotCompared, NotCompared{b, *why})
			continue
		}
		losses.First, losses.Second = append(losses.First, loss.first), append(losses.Second, loss.second)
		losses.HoursEach = append(losses.HoursEach, loss.Second.MeasuredAt.Sub(loss.First.MeasuredAt).Hours())
		losses.ResolutionMV = max(losses.ResolutionMV, loss.resolution)
		out.Losses = append(out.Losses, loss.Loss)
	}
	if len(out.Losses) > 0 {
		if err := out.compare(form, losses); err != nil {
			return Screening{}, fmt.Errorf("losses of lot %s: %w", code, err)
		}
	}
	return out, out.judgeLot(form, blocks, model)
}

// compare computes the losses and flags those over the model's limit or far from
// their lot.
func (v *Screening) compare(form models.BlockForm, losses pack.Losses) error {
	reject, limited := kinds.BlockLimit(form, "k_reject_mv_day")
	z, compared := kinds.BlockLimit(form, "loss_z_max")
	const none = 1e9 // a limit that was cleared flags nothing
	losses.LimitMVDay, losses.LimitZ = none, none
	if limited {
		losses.LimitMVDay = reject.Float()
	}
	if compared {
		losses.LimitZ = z.Float()
	}
	r, err := pack.LossBetween(losses)
	if err != nil {
		return err
	}
	v.Median, v.Step = r.Median, r.StepMVDay
	watch, watched := kinds.BlockLimit(form, "k_watch_mv_day")
	for i := range v.Losses {
		l := &v.Losses[i]
		l.MVDay, l.Z = r.MVDay[i], r.Z[i]
		value := strconv.FormatFloat(l.MVDay, 'f', 2, 64)
		switch {
		case slices.Contains(r.OverLimit, i+1):
			l.Flagged = true
			l.Why = append(l.Why, models.NewRemark("loses_charge", "value", value, "limit", reject.String()))
		case slices.Contains(r.OverZ, i+1):
			l.Flagged = true
			l.Why = append(l.Why, models.NewRemark("loses_against_lot", "value", value, "mean", strconv.FormatFloat(r.Median, 'f', 2, 64)))
		case slices.Contains(r.Rising, i+1):
			l.Why = append(l.Why, models.NewRemark("voltage_rose", "value", value))
		case watched && l.MVDay > watch.Float():
			l.Why = append(l.Why, models.NewRemark("loses_charge_watch", "value", value, "limit", watch.String()))
		}
		if l.Flagged {
			v.Flagged++
		}
	}
	return nil
}

// lossOf is the loss of a block, nil where it could not be compared.
func (v *Screening) lossOf(itemID string) *Loss {
	i := slices.IndexFunc(v.Losses, func(l Loss) bool { return l.Block.Item.ID == itemID })
	if i < 0 {
		return nil
	}
	return &v.Losses[i]
}

// judgeLot applies the lot's own rule.
func (v *Screening) judgeLot(form models.BlockForm, blocks []models.StockBlock, model []float64) error {
	facts := pack.LotFacts{Compared: len(v.Losses), Flagged: v.Flagged, Resistance: resistances(blocks), ModelResistance: model}
	for _, b := range blocks {
		for _, r := range b.Readings { // As it came in: the first at rest.
			if volts, err := measure.Parse(r.Volts); err == nil && atRest(r) {
				facts.OCV = append(facts.OCV, volts.Float())
				break
			}
		}
	}
	var limits pack.LotLimits
	for code, into := range map[string]*float64{"lot_flagged_max_pct": &limits.FlaggedPct, "lot_ir_ratio_max": &limits.ResistanceRatio, "incoming_ocv_min_v": &limits.LeastOCV} {
		if d, ok := kinds.BlockLimit(form, code); ok {
			*into = d.Float()
		}
	}
	var err error
	if v.Rule, err = pack.LotRule(facts, limits); err != nil {
		return fmt.Errorf("rule of lot %s: %w", v.Lot, err)
	}
	for _, reason := range v.Rule.Reasons {
		switch reason {
		case pack.LotManyFlagged:
			v.Reasons = append(v.Reasons, models.NewRemark(reason, "k", fmt.Sprint(v.Flagged), "n", fmt.Sprint(len(v.Losses))))
		case pack.LotHighResistance:
			v.Reasons = append(v.Reasons, models.NewRemark(reason, "value", strconv.FormatFloat(v.Rule.Ratio, 'f', 2, 64)))
		case pack.LotLowVoltage:
			v.Reasons = append(v.Reasons, models.NewRemark(reason, "value", strconv.FormatFloat(v.Rule.MedianOCV, 'f', 3, 64), "unit", "V"))
		}
	}
	return nil
}

// pair is a loss that may be computed: the two voltages, V, and the step of the
// meter, mV.
type pair struct {
	Loss
	first, second, resolution float64
}

const (
	// sameTemperature is how far the temperatures of two readings may lie apart
	// and the voltages be compared as read, K. Common practice, no source.
	sameTemperature = 2.0
	// commonStep is the step taken for a meter that does not say its own, mV.
	commonStep = 1.0
)

// pairOf finds the two readings of a block to compare: the newest at rest, and
// the first at rest by the same meter since it was last charged; at
// temperatures more than 2 K apart they are corrected to 25 degrees, which only
// lead-acid can be.
func pairOf(form models.BlockForm, b models.StockBlock) (pair, *models.Remark, error) {
	gap := limitOf(form, "loss_gap_min_days")
	rest := limitOf(form, "loss_rest_min_h")
	var rested []models.StockReading
	for _, r := range b.Readings {
		if h, err := measure.ParseReading(kinds.JudgedRest(r.RestHours, r.Remarks)); atRest(r) && err == nil && h.Float() >= rest {
			rested = append(rested, r)
		}
	}
	not := func(code string, values ...string) (pair, *models.Remark, error) {
		r := models.NewRemark(code, values...)
		return pair{}, &r, nil
	}
	both := len(rested) >= 2
	if both { // What it lost since it was last charged: a charge in between hides that.
		last := rested[len(rested)-1].MeasuredAt
		rested = slices.DeleteFunc(rested, func(r models.StockReading) bool {
			return slices.ContainsFunc(b.Charges, func(began time.Time) bool { return !began.Before(r.MeasuredAt) && began.Before(last) })
		})
	}
	switch {
	case both && len(rested) < 2:
		return not("charged_between")
	case !both:
		return not("one_reading_only")
	}
	newest := rested[len(rested)-1].Voltmeter
	if rested = slices.DeleteFunc(rested, func(r models.StockReading) bool { return r.Voltmeter != newest }); len(rested) < 2 {
		return not("other_meter")
	}
	p := pair{Loss: Loss{Block: b, First: rested[0], Second: rested[len(rested)-1]}}
	p.Days = p.Second.MeasuredAt.Sub(p.First.MeasuredAt).Hours() / 24
	if p.Days < gap {
		return not("readings_too_close", "days", strconv.FormatFloat(p.Days, 'f', 1, 64), "least", strconv.FormatFloat(gap, 'f', -1, 64))
	}
	var err error
	if p.first, p.second, err = comparable(form, p.First, p.Second); err != nil {
		return not("temperatures_apart")
	}
	p.resolution = stepOf(p.Second)
	return p, nil, nil
}

func limitOf(form models.BlockForm, code string) float64 {
	d, ok := kinds.BlockLimit(form, code)
	if !ok {
		return 0
	}
	return d.Float()
}

// comparable gives two voltages as they may be compared, V.
func comparable(form models.BlockForm, first, second models.StockReading) (float64, float64, error) {
	var volts, celsius [2]float64
	for i, r := range []models.StockReading{first, second} {
		v, err := measure.Parse(r.Read)
		if err != nil {
			return 0, 0, err
		}
		t, err := measure.Parse(r.TemperatureC)
		if err != nil {
			return 0, 0, err
		}
		volts[i], celsius[i] = v.Float(), t.Float()
	}
	if apart := celsius[0] - celsius[1]; apart <= sameTemperature && apart >= -sameTemperature {
		return volts[0], volts[1], nil
	}
	if !pack.Chemistry(form.Chemistry).LeadAcid() {
		return 0, 0, fmt.Errorf("readings at %g and %g degrees", celsius[0], celsius[1])
	}
	for i := range volts {
		at25, err := pack.OCVTo25(volts[i], form.Cells, celsius[i], pack.OCVCoefficient)
		if err != nil {
			return 0, 0, err
		}
		volts[i] = at25
	}
	return volts[0], volts[1], nil
}

// stepOf is the step of the meter, mV.
func stepOf(r models.StockReading) float64 {
	d, err := measure.Parse(r.Resolution)
	if err != nil || d.Sign() <= 0 {
		return commonStep
	}
	mv, err := measure.Convert(d, measure.Unit(r.MeterUnit), measure.Millivolt)
	if err != nil || mv.Sign() <= 0 {
		return commonStep
	}
	return mv.Float()
}

// resistances are the newest of each block, milliohm at 25 degrees.
func resistances(blocks []models.StockBlock) []float64 {
	var list []float64
	for _, b := range blocks {
		for i := len(b.Readings) - 1; i >= 0; i-- {
			if r, err := measure.Parse(b.Readings[i].Milliohm); err == nil {
				list = append(list, r.Float())
				break
			}
		}
	}
	return list
}
