package monitor

import (
	"context"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
)

// mostPoints is how many points a chart takes, the newest: as many as a store
// gives, and more than a screen shows.
const mostPoints = 10_000

// Chart draws the control chart of one result. Bad or missing parts of the
// query are [models.InvalidError]; an unknown family or product is
// [models.ErrNotFound].
func (s *Service) Chart(ctx context.Context, q ChartQuery) (ChartView, error) {
	if err := complete(q); err != nil {
		return ChartView{}, err
	}
	v := ChartView{Query: q, Needed: spc.FewestForLimits}
	var err error
	if v.Family, err = s.store.Family(ctx, q.FamilyID); err != nil {
		return ChartView{}, fmt.Errorf("chart of family %.40q: %w", q.FamilyID, err)
	}
	var productID *string
	if q.ProductID != "" {
		product, err := s.store.Product(ctx, q.ProductID)
		if err != nil {
			return ChartView{}, fmt.Errorf("chart of product %.40q: %w", q.ProductID, err)
		}
		if product.FamilyID != v.Family.ID {
			return ChartView{}, models.Invalid("product", "unknown_product", "product", product.Name)
		}
		v.Product, productID = &product, &product.ID
	}
	specification, err := s.store.SpecificationInForce(ctx, v.Family.ID, productID)
	if err != nil {
		return ChartView{}, fmt.Errorf("specification of family %s: %w", v.Family.Name, err)
	}
	limit, characteristic, ok := specification.Limit(q.Result)
	if !ok || characteristic.Form == models.Ticked || characteristic.Form == models.Chosen {
		return ChartView{}, models.Invalid("result", "unknown_code", "code", q.Result)
	}
	v.Unit, v.Decimals = limit.Unit, max(0, limit.Decimals-2)
	v.FirstSets = v.Family.Kind == models.KindWheel
	points, err := s.store.Series(ctx, models.SeriesQuery{
		FamilyID: v.Family.ID, ProductID: q.ProductID, Place: q.Place, Result: q.Result,
		FirstSets: v.FirstSets, From: q.From, To: q.To, Limit: mostPoints,
	})
	if err != nil {
		return ChartView{}, fmt.Errorf("values of %s: %w", q.Result, err)
	}
	v.Truncated = len(points) == mostPoints
	values := make([]float64, len(points))
	v.Points = make([]Point, len(points))
	for i, p := range points {
		values[i] = p.ValueF
		v.Points[i] = Point{InspectionID: p.InspectionID, ItemID: p.ItemID, Serial: p.Serial, MeasuredAt: p.MeasuredAt,
			Value: p.Value, ValueF: p.ValueF, Place: p.Place, PersonID: p.PersonID, ProductID: p.ProductID}
	}
	resolution, err := s.resolution(ctx, q.Place, characteristic, limit)
	if err != nil {
		return ChartView{}, err
	}
	return v, v.draw(kindOf(q.Result), spc.Data{Values: values, Resolution: resolution}, limit.Decimals)
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
	if !q.From.IsZero() && !q.To.IsZero() && q.To.Before(q.From) {
		invalid.Add("to", "end_before_start")
	}
	return invalid.OrNil()
}

// draw fills in what numbers/spc makes of the values. Fewer than two have no
// moving range, so there is nothing to ask it for: the view then says why there
// are no limits in the same way as a chart of few points does.
func (v *ChartView) draw(kind string, data spc.Data, decimals int) error {
	v.Kind = kind
	if len(data.Values) < 2 {
		n := len(data.Values)
		v.Facts = spc.Facts{N: n, Distinct: n, Provisional: true, NoLimits: true, NoLimitsReason: spc.NoLimitsFewPoints, Resolution: data.Resolution}
		return nil
	}
	chart, err := spc.Plot(kind, data)
	if err != nil {
		return fmt.Errorf("chart of %s: %w", v.Query.Result, err)
	}
	v.Scale, v.ScaleReason, v.Panels = chart.Scale, chart.ScaleReason, chart.Panels
	v.Sigma, v.SigmaEstimator, v.Facts = chart.Sigma, chart.SigmaEstimator, chart.Facts
	for _, panel := range chart.Panels {
		for _, signal := range panel.Signals {
			v.Signals = append(v.Signals, Signal{Panel: panel.Name, Point: signal.Index, Side: signal.Side,
				Reason: models.Remark{Code: signal.Rule, Values: asText(signal.Values, decimals)}})
		}
	}
	return nil
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
