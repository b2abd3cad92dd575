package monitor

import (
	"context"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
	"tracewright/models/trade/kinds"
)

const (
	// UsualPoints is how many points a chart shows unless more are asked for: as
	// many as a screen tells apart.
	UsualPoints = 400
	// mostPoints is how many it takes of a period.
	mostPoints = 2000
	// mostHappenings beside a chart, of each sort.
	mostHappenings = 40
)

// Chart draws the control chart of one result: points, phases with the limits that
// hold in each, signals with their causes, what happened beside it, and what it
// finds. Bad or missing parts of the query are [models.InvalidError]; an unknown
// family or product is [models.ErrNotFound].
func (s *Service) Chart(ctx context.Context, q ChartQuery) (ChartView, error) {
	v, characteristic, err := s.subject(ctx, q)
	if err != nil {
		return v, err
	}
	if v.Design, err = s.Design(ctx); err != nil {
		return v, err
	}
	if v.Alone, err = runLengthOf(q.Rules); err != nil {
		return v, err
	}
	r, err := s.reader(ctx, &v, characteristic)
	if err != nil {
		return v, err
	}
	if err := r.readPoints(ctx); err != nil {
		return v, err
	}
	baselines, err := s.store.ChartBaselines(ctx, q.Key())
	if err != nil {
		return v, fmt.Errorf("baselines of %s: %w", q.Result, err)
	}
	if err := r.judgeAll(ctx, baselines); err != nil {
		return v, err
	}
	for i := range v.Signals {
		g := &v.Signals[i]
		g.Raised, g.Began = v.Points[g.Point], v.Points[g.First]
		if !g.alone() {
			g.stretch = map[string]bool{}
			for _, p := range v.Points[g.First : g.Last+1] {
				g.stretch[p.InspectionID] = true
			}
		}
	}
	v.trim(r.before)
	if v.Causes, err = s.store.SignalCauses(ctx, q.Key()); err != nil {
		return v, fmt.Errorf("causes of signals of %s: %w", q.Result, err)
	}
	v.explain()
	if err := s.happened(ctx, &v, baselines); err != nil {
		return v, err
	}
	v.Finding = v.find(s.zone(ctx))
	return v, nil
}

// subject finds what is charted.
func (s *Service) subject(ctx context.Context, q ChartQuery) (ChartView, models.Characteristic, error) {
	v := ChartView{Query: q, Needed: spc.FewestForLimits, Products: map[string]string{}, Waiting: map[string]int{}}
	none := models.Characteristic{}
	if err := complete(q); err != nil {
		return v, none, err
	}
	var err error
	if v.Family, err = s.store.Family(ctx, q.FamilyID); err != nil {
		return v, none, fmt.Errorf("chart of family %.40q: %w", q.FamilyID, err)
	}
	products, err := s.store.Products(ctx, v.Family.ID)
	if err != nil {
		return v, none, fmt.Errorf("products of family %s: %w", v.Family.Name, err)
	}
	for _, p := range products {
		v.Products[p.ID] = p.Name
	}
	var productID *string
	if q.ProductID != "" {
		product, err := s.store.Product(ctx, q.ProductID)
		if err != nil {
			return v, none, fmt.Errorf("chart of product %.40q: %w", q.ProductID, err)
		}
		if product.FamilyID != v.Family.ID {
			return v, none, models.Invalid("product", "unknown_product", "product", product.Name)
		}
		v.Product, productID = &product, &product.ID
	}
	if v.Specification, err = s.store.SpecificationInForce(ctx, v.Family.ID, productID); err != nil {
		return v, none, fmt.Errorf("specification of family %s: %w", v.Family.Name, err)
	}
	limit, characteristic, ok := v.Specification.Limit(q.Result)
	switch {
	case !ok, characteristic.Form == models.Chosen:
		return v, none, models.Invalid("result", "unknown_code", "code", q.Result)
	case characteristic.Form == models.Ticked:
		v.Grouped = ByWeek
	case v.Family.Kind == models.KindBlock && q.ProductID == "" && len(v.Products) > 1:
		return v, none, models.Invalid("product", "lots_of_one_product")
	case v.Family.Kind == models.KindBlock:
		v.Grouped = ByLot
	case ofOneBlock[q.Result]:
		return v, none, models.Invalid("result", "many_on_one_item", "result", q.Result)
	}
	v.Limit, v.Unit, v.Decimals = limit, limit.Unit, characteristic.Printed(limit)
	if v.Grouped == ByWeek {
		v.Unit, v.Decimals = "%", 1
	}
	if kind, known := kinds.Named(v.Family.Kind); known {
		v.FirstSets = kind.SuggestedStage() == models.AfterRelief
	}
	return v, characteristic, nil
}

// complete names what a query lacks.
func complete(q ChartQuery) error {
	invalid := &models.InvalidError{}
	if q.FamilyID == "" {
		invalid.Add("family", "missing")
	}
	if q.Result == "" {
		invalid.Add("result", "missing")
	}
	if !q.From.IsZero() && !q.To.IsZero() && !q.To.After(q.From) {
		invalid.Add("to", "end_before_start")
	}
	return invalid.OrNil()
}

// runLengthOf is how far apart the false alarms of run rules are by themselves, at
// limits of three sigma; 0 for none.
func runLengthOf(rules []string) (float64, error) {
	if len(rules) == 0 {
		return 0, nil
	}
	means, err := spc.RuleDesign{Rules: rules}.RunLengths(0)
	if err != nil {
		return 0, models.Invalid("rules", "unknown_choice", "typed", models.Shortened(fmt.Sprint(rules)))
	}
	return means[0], nil
}

// trim takes the points before the shown ones off again.
func (v *ChartView) trim(before int) {
	if before == 0 {
		return
	}
	cut := func(i int) int { return max(0, i-before) }
	v.Points = v.Points[before:]
	phases, gone := v.Phases[:0], 0
	for _, p := range v.Phases {
		if p.To <= before {
			gone++
			continue
		}
		off := max(0, before-p.From)
		p.From, p.To = cut(p.From), cut(p.To)
		p.Values, p.Smoothed, p.Within = from(p.Values, off), from(p.Smoothed, off), from(p.Within, off)
		phases = append(phases, p)
	}
	v.Phases = phases
	signals := v.Signals[:0]
	for _, g := range v.Signals {
		// One that was raised before and is still open is told of at the first
		// point that is shown.
		if g.Last < before {
			continue
		}
		g.Phase, g.Point, g.First, g.Last = g.Phase-gone, cut(g.Point), cut(g.First), cut(g.Last)
		signals = append(signals, g)
	}
	v.Signals = signals
}

// from takes points off the beginning of a panel.
func from(p spc.Panel, n int) spc.Panel {
	for _, line := range []*[]float64{&p.Points, &p.Centre, &p.Low, &p.High, &p.Scores} {
		if len(*line) >= n {
			*line = (*line)[n:]
		}
	}
	return p
}

// explain puts causes beside their signals, and marks points that a signal of the
// smoothed mean covers.
func (v *ChartView) explain() {
	for i := range v.Signals {
		g := &v.Signals[i]
		for _, c := range v.Causes {
			if v.IsOf(c, *g) {
				g.Causes = append(g.Causes, c)
			}
		}
		for _, other := range v.Signals {
			if g.Panel != spc.PanelSmoothed && g.Panel != spc.PanelWithinItems && other.Panel == spc.PanelSmoothed && other.Side == g.Side && other.Phase == g.Phase && g.Point > other.Point && g.Point <= other.Last {
				g.Covered = true
			}
		}
	}
}

// IsOf says whether a cause was given for a signal: that of its point, or of any point
// of its stretch where it has one. A drift and its cause are not parted when its limit
// moves, with the shop's volume or the owner's budget, and another of its points is the
// first beyond it.
func (v *ChartView) IsOf(c models.SignalCause, g Signal) bool {
	if c.Rule != g.Reason.Code || c.Side != string(g.Side) {
		return false
	}
	return g.Raised.Has(c.InspectionID) || g.stretch[c.InspectionID]
}

// asText rounds the values of a signal to the stored decimals of the result.
func asText(values map[string]float64, decimals int) map[string]string {
	texts := make(map[string]string, len(values))
	for name, x := range values {
		if d, err := measure.Round(x, decimals); err == nil {
			texts[name] = d.String()
		}
	}
	return texts
}

// resolution is the coarsest step of the gauges that the result may come from,
// in the result's unit: those of the kind the characteristic takes, at the place
// asked for if any. It is 0, not known, where no gauge tells or where the result
// is no length, force or voltage a gauge shows (a share in percent).
func (s *Service) resolution(ctx context.Context, place string, c models.Characteristic, l models.Limit) (float64, error) {
	instruments, err := s.store.Instruments(ctx)
	if err != nil {
		return 0, fmt.Errorf("instruments: %w", err)
	}
	coarsest := 0.0
	for _, i := range instruments {
		if i.Kind != c.Instrument || i.State != models.InstrumentInUse || (place != "" && i.Place != place) {
			continue
		}
		step, err := measure.Parse(i.Resolution)
		if err != nil || i.Unit == string(measure.Siemens) {
			continue // Not stated, or a step of a reciprocal, which is no one step.
		}
		if step, err = measure.Convert(step, measure.Unit(i.Unit), measure.Unit(l.Unit)); err != nil {
			continue
		}
		coarsest = math.Max(coarsest, step.Float())
	}
	return coarsest, nil
}
