package stock

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/stats"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// Ask says which packs are wanted.
type Ask struct {
	Product string // of the packs
	Blocks  string // product of the block model; left out: that of the pack's form
	Lot     string // code: of this lot alone
	Count   int    // packs; 0: as many as can be made
	Least   string // pack.LeastSum, pack.LeastMax; left out: the sum
	SameLot bool   // asked for; where dates are not known it is taken all the same
}

// mostMatched is how many blocks a choice is made from; of more the oldest.
const mostMatched = 500

// task is an ask with all that answers it.
type task struct {
	ask      Ask
	product  models.Product
	form     models.PackForm
	revision int
	stock    StockView
	offered  []Measured
	made     map[string]time.Time
	content  Content
}

// prepare finds the pack, its blocks, and what they may be combined by.
func (s *Service) prepare(ctx context.Context, ask Ask) (*task, error) {
	t := &task{ask: ask, made: map[string]time.Time{}}
	invalid := &models.InvalidError{}
	product, err := s.store.Product(ctx, ask.Product)
	switch {
	case ask.Product == "":
		return nil, models.Invalid("product", "missing")
	case errors.Is(err, models.ErrNotFound):
		return nil, models.Invalid("product", "unknown_product", "product", models.Shortened(ask.Product))
	case err != nil:
		return nil, fmt.Errorf("product %.40q: %w", ask.Product, err)
	}
	revision, err := s.store.ProductRevision(ctx, product.ID, product.Revision)
	if err != nil {
		return nil, fmt.Errorf("form of product %s: %w", product.Name, err)
	}
	if revision.Form.Pack == nil {
		return nil, models.Invalid("product", "no_pack_product", "product", product.Name)
	}
	t.product, t.form, t.revision = product, *revision.Form.Pack, revision.Revision
	if ask.Blocks == "" {
		t.ask.Blocks = t.form.BlockProduct
	}
	if t.ask.Blocks == "" {
		invalid.Add("blocks", "pack_without_block_model", "product", product.Name)
	}
	if ask.Count < 0 {
		invalid.Add("count", "negative_not_possible")
	}
	if t.ask.Least == "" {
		t.ask.Least = pack.LeastSum
	}
	if t.ask.Least != pack.LeastSum && t.ask.Least != pack.LeastMax {
		invalid.Add("least", "unknown_choice", "typed", models.Shortened(ask.Least))
	}
	if t.size() < 2 {
		invalid.Add("product", "pack_of_one")
	}
	if err := invalid.OrNil(); err != nil {
		return nil, err
	}
	if t.stock, err = s.Stock(ctx, t.ask.Blocks, ask.Lot); err != nil {
		return nil, renamed(err)
	}
	if t.stock.Form.Chemistry != t.form.Chemistry || t.stock.Form.Cells != t.form.Cells {
		return nil, models.Invalid("blocks", "block_model_of_other_kind", "product", product.Name)
	}
	t.split()
	return t, t.rules()
}

// renamed gives a problem of the stock's question the field it has here.
func renamed(err error) error {
	var invalid *models.InvalidError
	if errors.As(err, &invalid) {
		for i := range invalid.Problems {
			if invalid.Problems[i].Field == "model" {
				invalid.Problems[i].Field = "blocks"
			}
		}
	}
	return err
}

func (t *task) size() int { return t.form.Strings * t.form.Blocks }

// split parts the stock into what is offered and what is not.
func (t *task) split() {
	dated := !slices.ContainsFunc(t.stock.Blocks, func(b Block) bool { return b.Offered() && b.Made.IsZero() })
	_, spanned := kinds.BlockLimit(t.stock.Form, "lot_span_max_days")
	t.content = Content{Model: t.stock.Model.ID, Revision: t.stock.Model.Revision, Form: t.revision, Strings: t.form.Strings, Blocks: t.form.Blocks, LimitsVersion: pack.SpecificationVersion, TableVersion: pack.TableVersion,
		Input: []Measured{}, Packs: []Group{}, Left: []Left{}, NotOffered: []Left{}}
	t.content.Rules = Rules{Least: t.ask.Least, Asked: t.ask.Count, SameLot: t.ask.SameLot || !dated || !spanned}
	for _, b := range t.stock.Blocks {
		reasons := b.Reasons
		if len(reasons) == 0 && t.content.Rules.SameLot && b.Lot == "" {
			reasons = []models.Remark{models.NewRemark("lot_not_known")}
		}
		if len(reasons) > 0 {
			t.content.NotOffered = append(t.content.NotOffered, Left{Item: b.Item.ID, Name: numberOf(b.Item), Reasons: reasons})
			continue
		}
		m := Measured{Item: b.Item.ID, Name: numberOf(b.Item), Lot: b.Lot, MV: b.MilliV, Uohm: b.Uohm, Reading: b.Reading.InspectionID, Resistance: b.Resistance.InspectionID}
		if !b.Made.IsZero() {
			m.Made, t.made[m.Item] = b.Made.Format(time.DateOnly), b.Made
		}
		t.offered = append(t.offered, m)
	}
	slices.SortFunc(t.offered, func(a, b Measured) int { return strings.Compare(a.Made+" "+a.Item, b.Made+" "+b.Item) })
	for len(t.offered) > mostMatched {
		last := t.offered[len(t.offered)-1]
		t.offered = t.offered[:len(t.offered)-1]
		t.content.NotOffered = append(t.content.NotOffered, Left{Item: last.Item, Name: last.Name, Reasons: []models.Remark{models.NewRemark("older_ones_first", "most", fmt.Sprint(mostMatched))}})
	}
	slices.SortFunc(t.offered, func(a, b Measured) int { return strings.Compare(a.Item, b.Item) })
	slices.SortFunc(t.content.NotOffered, func(a, b Left) int { return strings.Compare(a.Name+" "+a.Item, b.Name+" "+b.Item) })
	if t.offered != nil {
		t.content.Input = t.offered
	}
}

// rules takes scales and limits from the block model: a cost of one is the range
// of grade A, and no pack goes beyond that of grade B; those of resistance are
// shares of the offered blocks' median.
func (t *task) rules() error {
	r := &t.content.Rules
	median := medianUohm(t.offered)
	r.ScaleMV = max(1, t.milli("spread_ocv_a_v"))
	r.ScaleUohm = max(1, t.share("spread_ir_a_pct", median))
	if _, ok := kinds.BlockLimit(t.stock.Form, "spread_ocv_b_v"); ok {
		x := t.milli("spread_ocv_b_v")
		r.MaxMV = &x
	}
	if _, ok := kinds.BlockLimit(t.stock.Form, "spread_ir_b_pct"); ok {
		x := t.share("spread_ir_b_pct", median)
		r.MaxUohm = &x
	}
	if days, ok := kinds.BlockLimit(t.stock.Form, "lot_span_max_days"); ok && !r.SameLot {
		x := int64(days.Float())
		r.MaxDays = &x
	}
	return nil
}

func (t *task) milli(code string) int64 {
	d, _ := kinds.BlockLimit(t.stock.Form, code)
	return int64(math.Round(d.Float() * 1000))
}

// share is a percentage of a resistance, rounded down: a limit is kept.
func (t *task) share(code string, uohm float64) int64 {
	d, _ := kinds.BlockLimit(t.stock.Form, code)
	return int64(math.Floor(d.Float() * uohm / 100))
}

func medianUohm(blocks []Measured) float64 {
	values := make([]float64, len(blocks))
	for i, m := range blocks {
		values[i] = float64(m.Uohm)
	}
	m, err := stats.Median(values)
	if err != nil {
		return 0
	}
	return m
}

// limits are the spread limits of the block model, for its own block.
func (t *task) limits() pack.SpreadLimits { return spreadLimits(t.stock.Form) }

func spreadLimits(form models.BlockForm) pack.SpreadLimits {
	text := func(code string) string {
		if x := kinds.BlockLimitText(form, code); x != "" {
			return x
		}
		return "1000000" // a limit that was cleared
	}
	return pack.SpreadLimits{VoltageA: text("spread_ocv_a_v"), VoltageB: text("spread_ocv_b_v"), ResistA: text("spread_ir_a_pct"), ResistB: text("spread_ir_b_pct")}
}

// decimals are voltages in V and resistances in milliohm, as they were compared.
func decimals(blocks []Measured) (volts, ohms []measure.Decimal) {
	for _, b := range blocks {
		volts, ohms = append(volts, thousandth(b.MV)), append(ohms, thousandth(b.Uohm))
	}
	return volts, ohms
}

func thousandth(n int64) measure.Decimal {
	d, err := measure.Parse(fmt.Sprintf("%d.%03d", n/1000, n%1000))
	if err != nil {
		return measure.FromInt(0) // Offered blocks are above zero.
	}
	return d
}
