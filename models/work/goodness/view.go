package goodness

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// View is how good one result is.
type View struct {
	Query    Query
	Family   models.Family
	Product  *models.Product
	Unit     string
	Decimals int // to be shown
	// Limits are those that the values were judged by, each once; there is one
	// tolerance for the law and the index only where there is one of them.
	Limits []Limits
	// InForce are those of the specification that holds now; Older counts the values
	// that were judged by others, where one product or a family without own ones is asked.
	InForce Limits
	Older   int
	// Share lies beyond its limits; Below and Above are its parts.
	Share        Share
	Below, Above int
	Limited      bool // there is a limit at all
	Ticked       bool // it has no value: what failed lies beyond, and there is no law of it
	Truncated    bool // there are older values than an answer takes
	Histogram    Histogram
	Beyond       []models.MeasuredPoint // newest first, at most so many
	Charted      Charted
	Law          *Law
	LawRefused   string // code, where there is no law
	Index        *spc.Index
	IndexRefused string // code, where there is no index
	Rounds       *Share // of wheels
	Final        *Final
	Lots         *Lots // of blocks
	Falls        *Lots // of blocks, mV a day between two readings
}

// Limits are texts as they were judged by; empty for none.
type Limits struct {
	Low, High string
	N         int // values that were judged by them
}

// Final is what was certified: corrected until within the limits.
type Final struct {
	N, Beyond int // Beyond: certified all the same, by concession or by wider limits
	Histogram Histogram
}

// View answers for one result. Bad or missing parts of the query are
// [models.InvalidError]; an unknown family or product is [models.ErrNotFound].
func (s *Service) View(ctx context.Context, q Query) (View, error) {
	q, family, product, err := s.settled(ctx, q, true)
	if err != nil {
		return View{}, fmt.Errorf("how good in family %.40q: %w", q.FamilyID, err)
	}
	specification, err := s.store.SpecificationInForce(ctx, family.ID, idOf(product))
	if err != nil {
		return View{}, fmt.Errorf("specification of family %s: %w", family.Name, err)
	}
	limit, characteristic, ok := specification.Limit(q.Result)
	if !ok {
		return View{}, models.Invalid("result", "unknown_code", "code", q.Result)
	}
	if ticked(characteristic) {
		return s.ticked(ctx, View{Query: q, Family: family, Product: product, Ticked: true, Charted: Charted{Control: spc.ControlNotShown}})
	}
	v := View{Query: q, Family: family, Product: product, Unit: limit.Unit, Decimals: characteristic.Printed(limit), InForce: Limits{Low: limit.Low, High: limit.High}}
	points, err := s.store.MeasuredFirst(ctx, q.measured(family.Kind))
	if err != nil {
		return View{}, fmt.Errorf("values of %s: %w", q.Result, err)
	}
	v.Truncated = len(points) == mostPoints
	if err := v.count(points); err != nil {
		return View{}, fmt.Errorf("share of %s: %w", q.Result, err)
	}
	v.Histogram = histogramOf(valuesOf(points), v.edge(), v.Decimals)
	if v.Charted, err = s.charted(ctx, q, len(points)); err != nil {
		return View{}, err
	}
	if err := v.judge(valuesOf(points), characteristic.Form == models.Counted); err != nil {
		return View{}, fmt.Errorf("law of %s: %w", q.Result, err)
	}
	if family.Kind == models.KindBlock {
		return v, s.byLot(ctx, &v, points)
	}
	return v, s.after(ctx, &v)
}

// ticked answers for a result without a value: how many failed it when first looked at,
// and which.
func (s *Service) ticked(ctx context.Context, v View) (View, error) {
	q := v.Query.measured(v.Family.Kind)
	counts, err := s.store.ResultShares(ctx, q)
	if err != nil {
		return v, fmt.Errorf("share of %s: %w", q.Result, err)
	}
	for _, c := range counts {
		if c.Code != q.Result {
			continue
		}
		v.Truncated = c.N == mostPoints
		if v.Share, err = shareOf(c.Failed, c.N); err != nil {
			return v, fmt.Errorf("share of %s: %w", q.Result, err)
		}
	}
	if v.Share.K > 0 {
		if v.Beyond, err = s.store.FailedFirst(ctx, q, mostBeyond); err != nil {
			return v, fmt.Errorf("what failed %s: %w", q.Result, err)
		}
	}
	if v.Family.Kind == models.KindWheel {
		rounds, err := s.rounds(ctx, v.Query, v.Family.Kind)
		if err != nil {
			return v, err
		}
		v.Rounds = &rounds
	}
	return v, nil
}

// charted asks for the chart; one that cannot be drawn shows nothing either way.
func (s *Service) charted(ctx context.Context, q Query, n int) (Charted, error) {
	unknown := Charted{Control: spc.ControlNotShown}
	if n == 0 {
		return unknown, nil
	}
	found, err := s.chart(ctx, q.ChartKey, q.From, q.To)
	var invalid *models.InvalidError
	switch {
	case errors.As(err, &invalid), errors.Is(err, models.ErrNotFound):
		return unknown, nil
	case err != nil:
		return unknown, fmt.Errorf("chart of %s: %w", q.Result, err)
	}
	return found, nil
}

// count finds what lies beyond the limits that each value was judged by.
func (v *View) count(points []models.MeasuredPoint) error {
	by := map[Limits]int{}
	limited := 0
	for _, p := range points {
		key := Limits{Low: p.Low, High: p.High}
		by[key]++
		if key != v.InForce {
			v.Older++
		}
		low, isLow := limitOf(p.Low)
		high, isHigh := limitOf(p.High)
		if isLow || isHigh {
			limited++
		}
		switch {
		case isLow && p.ValueF < low:
			v.Below++
		case isHigh && p.ValueF > high:
			v.Above++
		default:
			continue
		}
		v.Beyond = append(v.Beyond, p)
	}
	slices.Reverse(v.Beyond)
	v.Beyond = v.Beyond[:min(len(v.Beyond), mostBeyond)]
	for key, n := range by {
		v.Limits = append(v.Limits, Limits{key.Low, key.High, n})
	}
	slices.SortFunc(v.Limits, func(a, b Limits) int {
		if a.N != b.N {
			return b.N - a.N
		}
		return compareText(a.Low+" "+a.High, b.Low+" "+b.High)
	})
	v.Limited = limited > 0
	var err error
	v.Share, err = shareOf(v.Below+v.Above, len(points))
	return err
}

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func limitOf(text string) (float64, bool) {
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil && text != ""
}

// edge is the limit that bins of a histogram are counted from, nil for none.
func (v *View) edge() *float64 {
	if len(v.Limits) == 0 {
		return nil
	}
	for _, text := range []string{v.Limits[0].High, v.Limits[0].Low} {
		if x, ok := limitOf(text); ok {
			return &x
		}
	}
	return nil
}

// tolerance is that of the law and the index, where all values share one.
func (v *View) tolerance() (spc.Tolerance, string) {
	var t spc.Tolerance
	if len(v.Limits) > 1 {
		if v.Product != nil { // Its own limits, and so a revision changed them.
			return t, "good_limits_changed"
		}
		return t, "good_several_limits"
	}
	if len(v.Limits) == 1 {
		if x, ok := limitOf(v.Limits[0].Low); ok {
			t.Low = &x
		}
		if x, ok := limitOf(v.Limits[0].High); ok {
			t.High = &x
		}
	}
	if t.Low == nil && t.High == nil {
		return t, "good_no_limits"
	}
	return t, ""
}

// after is what became of wheels and packs: rounds, and what was certified.
func (s *Service) after(ctx context.Context, v *View) error {
	if v.Family.Kind == models.KindWheel {
		rounds, err := s.rounds(ctx, v.Query, v.Family.Kind)
		if err != nil {
			return err
		}
		v.Rounds = &rounds
	}
	last, err := s.store.MeasuredLast(ctx, v.Query.measured(v.Family.Kind))
	if err != nil {
		return fmt.Errorf("certified values of %s: %w", v.Query.Result, err)
	}
	if len(last) == 0 {
		return nil
	}
	v.Final = &Final{N: len(last), Histogram: histogramOf(valuesOf(last), v.edge(), v.Decimals)}
	if len(v.Histogram.Counts) > 0 { // In the bins of the first ones, so that they stand below each other.
		v.Final.Histogram = binsOf(valuesOf(last), v.edge(), v.Histogram.Width)
	}
	for _, p := range last {
		low, isLow := limitOf(p.Low)
		high, isHigh := limitOf(p.High)
		if isLow && p.ValueF < low || isHigh && p.ValueF > high {
			v.Final.Beyond++
		}
	}
	return nil
}

func (s *Service) rounds(ctx context.Context, q Query, kind string) (Share, error) {
	count, err := s.store.Rounds(ctx, q.measured(kind))
	if err != nil {
		return Share{}, fmt.Errorf("rounds of family %s: %w", q.FamilyID, err)
	}
	return shareOf(count.More, count.Items)
}

func valuesOf(points []models.MeasuredPoint) []float64 {
	out := make([]float64, len(points))
	for i, p := range points {
		out[i] = p.ValueF
	}
	return out
}
