package monitor

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// reader reads the points of one chart, the shown ones and those its limits rest
// on.
type reader struct {
	*Service
	v          *ChartView
	resolution float64
	counted    bool
	several    bool // products stand on the chart together
	before     int  // so many points lie before the shown ones
	whole      bool // and none before those
	stoodIn    *standIn
	stood      []Point // the first points, which stand in for a baseline
}

func (s *Service) reader(ctx context.Context, v *ChartView, c models.Characteristic) (*reader, error) {
	r := &reader{Service: s, v: v, counted: c.Form == models.Counted, several: v.Query.ProductID == "" && len(v.Products) > 1 && v.Grouped == ""}
	var err error
	r.resolution, err = s.resolution(ctx, v.Query.Place, c, v.Limit)
	return r, err
}

// series asks for points of the chart, with what the caller adds to the question.
func (r *reader) series(ctx context.Context, ask func(q *models.SeriesQuery)) ([]models.SeriesPoint, error) {
	q := models.SeriesQuery{FamilyID: r.v.Query.FamilyID, ProductID: r.v.Query.ProductID, Place: r.v.Query.Place, Result: r.v.Query.Result,
		FirstSets: r.v.FirstSets, FirstRounds: !r.v.FirstSets, Ticks: r.v.Grouped == ByWeek, Lots: r.v.Grouped == ByLot}
	ask(&q)
	points, err := r.store.Series(ctx, q)
	if err != nil {
		return nil, fmt.Errorf("values of %s: %w", r.v.Query.Result, err)
	}
	return points, nil
}

// readPoints reads the shown points, and some before them for the smoothed mean.
func (r *reader) readPoints(ctx context.Context) error {
	if r.v.Grouped != "" {
		return r.readGroups(ctx)
	}
	q := r.v.Query
	most := q.Points
	switch {
	case most > 0:
		most = min(most, mostPoints)
	case q.From.IsZero() && q.To.IsZero():
		most = UsualPoints
	default:
		most = mostPoints
	}
	shown, err := r.series(ctx, func(s *models.SeriesQuery) { s.From, s.To, s.Limit = q.From, q.To, most+1 })
	if err != nil {
		return err
	}
	if len(shown) > most {
		r.v.Truncated, shown = true, shown[1:]
	}
	if len(shown) == 0 {
		return nil
	}
	for _, p := range shown {
		r.v.Points = append(r.v.Points, pointOf(p))
	}
	if err := r.readEarlier(ctx, warmUp); err != nil {
		return err
	}
	r.v.Truncated = r.v.Truncated || r.before > 0
	return nil
}

// readEarlier reads so many points more, before those that were read. Points of one
// moment, such as an import gives, are parted by their ids.
func (r *reader) readEarlier(ctx context.Context, n int) error {
	first, known := r.v.Points[0].MeasuredAt, map[string]bool{}
	for _, p := range r.v.Points {
		if !p.MeasuredAt.Equal(first) {
			break
		}
		known[p.InspectionID] = true
	}
	found, err := r.series(ctx, func(s *models.SeriesQuery) { s.To, s.Limit = first.Add(time.Millisecond), n+len(known) })
	if err != nil {
		return err
	}
	found = slices.DeleteFunc(found, func(p models.SeriesPoint) bool { return known[p.InspectionID] })
	earlier := make([]Point, len(found), len(found)+len(r.v.Points))
	for i, p := range found {
		earlier[i] = pointOf(p)
	}
	r.v.Points, r.before, r.whole = append(earlier, r.v.Points...), r.before+len(found), len(found) < n
	return nil
}

func pointOf(p models.SeriesPoint) Point {
	return Point{InspectionID: p.InspectionID, ItemID: p.ItemID, Serial: p.Serial, MeasuredAt: p.MeasuredAt,
		Value: p.Value, ValueF: p.ValueF, Place: p.Place, PersonID: p.PersonID, ProductID: p.ProductID}
}

const (
	// firstPoints are the baseline where nobody chose one, of a chart of one
	// product; firstOfProduct, of each product, where several stand together.
	firstPoints    = 50
	firstOfProduct = 30
)

// first gives the points that stand in for a baseline, oldest first: the first
// ones from a moment on.
func (r *reader) first(ctx context.Context, from, to time.Time) ([]Point, error) {
	if r.v.Grouped != "" {
		return r.firstGroups(ctx, from, to)
	}
	if !r.several {
		return r.oldest(ctx, r.v.Query.ProductID, from, to, firstPoints)
	}
	var all []Point
	for id := range r.v.Products {
		of, err := r.oldest(ctx, id, from, to, firstOfProduct)
		if err != nil {
			return nil, err
		}
		all = append(all, of...)
	}
	sortPoints(all)
	return all, nil
}

func (r *reader) oldest(ctx context.Context, productID string, from, to time.Time, n int) ([]Point, error) {
	found, err := r.series(ctx, func(s *models.SeriesQuery) {
		s.ProductID, s.From, s.To, s.Oldest, s.Limit = productID, from, to, true, n
	})
	points := make([]Point, len(found))
	for i, p := range found {
		points[i] = pointOf(p)
	}
	return points, err
}
