package stock

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// Block is one block of the stock as it may be matched, or the reasons why not.
type Block struct {
	models.StockBlock
	Reading *models.StockReading // the newest at rest, nil for none
	// Resistance is the newest, that of Reading or of an earlier one.
	Resistance   *models.StockReading
	MilliV, Uohm int64 // at 25 degrees; 0 where not read
	Made         time.Time
	Charge       *float64 // state of charge at the reading, %; nil where it is not known
	Loss         *Loss    // nil where two readings cannot be compared
	Reasons      []models.Remark
	Notes        []models.Remark // worth saying, and no reason
}

// Offered says whether the block may go into a pack.
func (b Block) Offered() bool { return len(b.Reasons) == 0 }

// StockView is the measured stock of a model.
type StockView struct {
	Model  models.Product
	Form   models.BlockForm
	Blocks []Block
	Lots   []Screening // of every lot that a block of the list is from
}

// Stock is the measured stock of a block model, of all lots or of one: each
// block with its newest reading at rest, and why it is not offered. productID is
// that of the model; lot is a code, or empty.
func (s *Service) Stock(ctx context.Context, productID, lot string) (StockView, error) {
	product, form, err := s.model(ctx, productID, "model")
	if err != nil {
		return StockView{}, err
	}
	if lot != "" {
		found, err := s.store.LotsByCode(ctx, []string{lot})
		if err != nil {
			return StockView{}, err
		}
		named, ok := models.CodedAs(found, lot)
		if !ok {
			return StockView{}, models.Invalid("lot", "unknown_lot", "lot", models.Shortened(lot))
		}
		lot = named.Code
	}
	stored, err := s.store.StockOf(ctx, product.ID)
	if err != nil {
		return StockView{}, err
	}
	v := StockView{Model: product, Form: form}
	model := resistances(stored)
	var lots []string
	for _, b := range stored {
		if lot != "" && b.Lot != lot {
			continue
		}
		if b.Receipt != nil && b.Receipt.LotID != nil && !slices.Contains(lots, *b.Receipt.LotID) {
			lots = append(lots, *b.Receipt.LotID)
		}
		v.Blocks = append(v.Blocks, Block{StockBlock: b})
	}
	suspect := map[string][]models.Remark{}
	losses := map[string]*Loss{}
	for _, id := range lots {
		screening, err := s.screenLot(ctx, product.ID, form, id, model)
		if err != nil {
			return StockView{}, err
		}
		v.Lots = append(v.Lots, screening)
		suspect[id] = screening.Reasons
		for i := range screening.Losses {
			losses[screening.Losses[i].Block.Item.ID] = &screening.Losses[i]
		}
	}
	slices.SortFunc(v.Lots, func(a, b Screening) int { return strings.Compare(a.Lot, b.Lot) })
	now := s.now().In(s.zone(ctx))
	for i := range v.Blocks {
		b := &v.Blocks[i]
		b.Loss = losses[b.Item.ID]
		var lot []models.Remark
		if b.Receipt != nil && b.Receipt.LotID != nil {
			lot = suspect[*b.Receipt.LotID]
		}
		if err := b.weigh(form, now, lot); err != nil {
			return StockView{}, fmt.Errorf("block %s: %w", b.Item.Name(), err)
		}
	}
	return v, nil
}

// gateReasons are the remarks that say a voltage is no rest voltage.
var gateReasons = []string{pack.RestTooShort, pack.OnCharger, pack.UnderLoad, pack.SurfaceChargeSuspected}

// atRest says whether a reading has a voltage that passed the gate.
func atRest(r models.StockReading) bool {
	return r.Volts != "" && !slices.ContainsFunc(r.Remarks, func(m models.Remark) bool { return slices.Contains(gateReasons, m.Code) })
}

// weigh finds the readings that count and says what is against the block. now is in
// the shop's zone, which governs the days that are said.
func (b *Block) weigh(form models.BlockForm, now time.Time, lot []models.Remark) error {
	b.readings()
	if b.Receipt != nil && b.Receipt.MadeOn != "" {
		made, err := time.Parse(time.DateOnly, b.Receipt.MadeOn)
		if err != nil {
			return fmt.Errorf("day of making: %w", err)
		}
		b.Made = made
	}
	released := b.Disposition != nil && b.Disposition.Decision == models.Release
	b.againstIt()
	b.againstReading(form, now)
	b.againstResistance(form)
	b.againstVerdict()
	b.againstAge(form, dayOf(now), released)
	if l := b.Loss; l != nil {
		since := released && b.Disposition.DecidedAt.After(l.Second.MeasuredAt)
		if l.Flagged && !since {
			b.Reasons = append(b.Reasons, l.Why...)
		} else {
			b.Notes = append(b.Notes, l.Why...)
		}
	}
	if len(lot) > 0 && !released {
		b.Reasons = append(b.Reasons, models.NewRemark("lot_suspect", "lot", b.Lot))
	}
	return nil
}

// readings finds the newest at rest and the newest resistance.
func (b *Block) readings() {
	for i := len(b.Readings) - 1; i >= 0; i-- {
		r := &b.Readings[i]
		if b.Reading == nil && atRest(*r) {
			b.Reading = r
		}
		if b.Resistance == nil && r.Milliohm != "" {
			b.Resistance = r
		}
	}
}

// againstIt is what was decided about the block and where it is.
func (b *Block) againstIt() {
	add := func(code string, values ...string) { b.Reasons = append(b.Reasons, models.NewRemark(code, values...)) }
	if d := b.Disposition; d != nil && d.Decision == models.Quarantine {
		if d.Reason != "" {
			add("set_aside", "reason", d.Reason)
		} else {
			add("set_aside_" + d.Code)
		}
	}
	if b.LotAside != "" {
		add("lot_set_aside", "lot", b.LotAside)
	}
	if b.Held != "" {
		add("item_on_hold", "reason", b.Held)
	}
	if b.Fitted {
		add("block_fitted")
	}
	if b.Charging {
		add("block_charging")
	}
	if b.Match != "" {
		add("block_in_match")
	}
}

// againstReading is what its voltage says.
func (b *Block) againstReading(form models.BlockForm, now time.Time) {
	add := func(code string, values ...string) { b.Reasons = append(b.Reasons, models.NewRemark(code, values...)) }
	if b.Reading == nil {
		code := "no_reading_at_rest"
		if slices.ContainsFunc(b.Readings, func(r models.StockReading) bool { return r.Verdict == models.VerdictProvisional }) {
			code = "reading_provisional"
		}
		add(code)
		return
	}
	volts, err := measure.Parse(b.Reading.Volts)
	if err != nil {
		add("no_reading_at_rest")
		return
	}
	if b.Emptied || !b.EmptiedAt.Before(b.Reading.MeasuredAt) {
		add("block_discharged", "date", b.EmptiedAt.In(now.Location()).Format(time.DateOnly))
	} else if rest, _ := kinds.BlockLimit(form, "rest_min_h"); !b.Worked.IsZero() && !kinds.RestedSince(b.Worked, b.Reading.MeasuredAt, rest.Float()) {
		add("charged_since_reading", "least", rest.String())
	}
	b.MilliV = int64(math.Round(volts.Float() * 1000))
	if pct, why := kinds.BlockCharge(form, volts.Float()); why == "" {
		b.Charge = &pct
	}
	switch least, ok := kinds.BlockLimit(form, "incoming_ocv_min_v"); {
	case volts.Sign() <= 0:
		add("block_reversed_or_dead", "value", volts.String(), "unit", "V")
	case ok && volts.Cmp(least) < 0:
		add("block_low", "value", volts.String(), "limit", least.String(), "unit", "V")
	}
	if most, ok := kinds.BlockLimit(form, "stock_reading_max_days"); ok {
		if days := now.Sub(b.Reading.MeasuredAt).Hours() / 24; days > most.Float() {
			add("reading_old", "days", fmt.Sprintf("%.0f", days), "most", most.String())
		}
	}
}

// againstResistance is what its resistance says, and how it rose since the first.
func (b *Block) againstResistance(form models.BlockForm) {
	add := func(code string, values ...string) { b.Reasons = append(b.Reasons, models.NewRemark(code, values...)) }
	if b.Resistance == nil {
		add("resistance_not_read")
		return
	}
	r, err := measure.Parse(b.Resistance.Milliohm)
	if err != nil || r.Sign() <= 0 {
		add("resistance_not_read")
		return
	}
	b.Uohm = int64(math.Round(r.Float() * 1000))
	low, errLow := measure.Parse(form.ResistanceLow)
	high, errHigh := measure.Parse(form.ResistanceHigh)
	if errLow == nil && r.Cmp(low) < 0 || errHigh == nil && r.Cmp(high) > 0 {
		add("resistance_off", "value", r.String(), "low", form.ResistanceLow, "high", form.ResistanceHigh, "unit", "mohm")
	}
	first := b.firstResistance()
	if first == nil || first == b.Resistance {
		return
	}
	baseline, err := measure.Parse(first.Milliohm)
	if err != nil {
		return
	}
	limits := pack.RatioLimits{Watch: kinds.BlockLimitText(form, "ir_ratio_watch"), Investigate: kinds.BlockLimitText(form, "ir_ratio_investigate"), Reject: kinds.BlockLimitText(form, "ir_ratio_reject")}
	ratio, level, err := pack.ResistanceRatio(r, baseline, limits)
	if err != nil {
		return // A limit that was cleared: nothing to compare with.
	}
	risen := models.NewRemark("resistance_risen", "value", fmt.Sprintf("%.2f", ratio))
	switch level {
	case pack.RatioReject:
		b.Reasons = append(b.Reasons, risen)
	case pack.RatioWatch, pack.RatioInvestigate:
		b.Notes = append(b.Notes, risen)
	}
}

// told are the results whose own reasons stand beside a block already, by code.
var told = map[string][]string{"block_ocv25": {"block_reversed_or_dead", "block_low"}, "block_r25": {"resistance_off"}}

// againstVerdict is what its newest reading failed in, and what was last found of
// its case. Whoever releases the block after that has seen it.
func (b *Block) againstVerdict() {
	if len(b.Readings) == 0 {
		return
	}
	released := func(r models.StockReading) bool {
		return b.Disposition != nil && b.Disposition.Decision == models.Release && b.Disposition.DecidedAt.After(r.MeasuredAt)
	}
	if newest := b.Readings[len(b.Readings)-1]; !released(newest) {
		for _, result := range newest.Failed {
			said := slices.ContainsFunc(b.Reasons, func(r models.Remark) bool { return slices.Contains(told[result], r.Code) })
			if !said && result != kinds.CaseSound {
				b.Reasons = append(b.Reasons, models.NewRemark("reading_failed", "result", result))
			}
		}
	}
	for _, r := range slices.Backward(b.Readings) {
		if r.Case == "" {
			continue
		}
		if r.Case == models.VerdictFail && !released(r) {
			b.Reasons = append(b.Reasons, models.NewRemark("case_not_sound"))
		}
		return
	}
}

// firstResistance is the first by the same way as the newest.
func (b *Block) firstResistance() *models.StockReading {
	for i := range b.Readings {
		if r := &b.Readings[i]; r.Milliohm != "" && r.Manner == b.Resistance.Manner {
			return r
		}
	}
	return nil
}

// againstAge is what its date says; a person who released it has seen that.
func (b *Block) againstAge(form models.BlockForm, today time.Time, released bool) {
	if b.Made.IsZero() {
		return
	}
	days := int(today.Sub(b.Made).Hours() / 24)
	most, ok := kinds.BlockLimit(form, "block_age_max_days")
	if ok && float64(days) > most.Float() && !released {
		b.Reasons = append(b.Reasons, models.NewRemark("block_too_old", "days", fmt.Sprint(days), "most", most.String()))
	}
}
