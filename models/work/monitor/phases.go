package monitor

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// phases parts the points by the baselines that hold, finds the limits of each
// part, judges its points by them, and leaves out points that have no centre to be
// held against yet.
func (r *reader) phases(ctx context.Context, baselines []models.ChartBaseline) error {
	v := r.v
	points := v.Points
	telling, err := r.telling(ctx, baselines)
	if err != nil {
		return err
	}
	r.nameChart(telling)
	v.Points = nil
	shownBefore, dropped := r.before, 0
	for from := 0; from < len(points); {
		chosen := holding(baselines, points[from].since(baselines))
		to := from + 1
		for to < len(points) && same(chosen, holding(baselines, points[to].since(baselines))) {
			to++
		}
		kept, gone, err := r.phase(ctx, baselines, chosen, points[from:to], max(0, min(shownBefore-from, to-from)))
		if err != nil {
			return err
		}
		dropped += gone
		v.Points = append(v.Points, kept...)
		from = to
	}
	r.before -= dropped
	return nil
}

// telling are the values that tell the nature of a result the shop made itself: the
// first ones, so that a chart is the same whatever part of it is looked at; and what was
// read below zero, of which there is no logarithm and no root. Of a shipped result the
// nature is known.
func (r *reader) telling(ctx context.Context, baselines []models.ChartBaseline) ([]float64, error) {
	if r.v.Grouped != "" || natureKnown(r.v.Query.Result, r.counted) {
		return nil, nil
	}
	first, err := r.standing(ctx, baselines)
	if err == nil && len(first) == 0 { // The first baseline holds from the first point on.
		first, err = r.first(ctx, time.Time{}, time.Time{})
	}
	values := make([]float64, len(first))
	for i, p := range first {
		values[i] = p.ValueF
	}
	for _, p := range r.v.Points {
		if p.ValueF < 0 {
			values = append(values, p.ValueF)
		}
	}
	return values, err
}

// nameChart names the chart that suits the result.
func (r *reader) nameChart(values []float64) {
	r.v.Nature = natureOf(r.v.Query.Result, r.counted, values)
	switch r.v.Grouped {
	case ByWeek:
		r.v.Nature = Ticked
	case ByLot:
		r.v.Nature = OfLots
	}
	r.v.Kind, r.v.KindReason = chartFor(r.v.Nature, r.several)
}

// since is the moment that says to which phase a point belongs: of a week or a lot when
// it began. The lot that a baseline begins with belongs to it also when a block of it
// that was measured before is recorded later.
func (p Point) since(baselines []models.ChartBaseline) time.Time {
	if p.Group == "" {
		return p.MeasuredAt
	}
	at := p.Began
	for _, b := range baselines {
		if p.Has(b.FirstInspection) && at.Before(b.HoldsFrom) {
			at = b.HoldsFrom
		}
	}
	return at
}

// holding is the baseline that holds at a moment: of those chosen the newest whose
// time has come. Nil where none was chosen for it.
func holding(baselines []models.ChartBaseline, at time.Time) *models.ChartBaseline {
	var found *models.ChartBaseline
	for i, b := range baselines {
		if !b.HoldsFrom.After(at) {
			found = &baselines[i]
		}
	}
	return found
}

func same(a, b *models.ChartBaseline) bool {
	return a == b || a != nil && b != nil && a.ID == b.ID
}

// phase judges the points of one phase and adds it to the view. It gives the
// points that stand on the chart, and how many of the first early ones do not.
func (r *reader) phase(ctx context.Context, baselines []models.ChartBaseline, chosen *models.ChartBaseline, points []Point, early int) (kept []Point, gone int, err error) {
	v := r.v
	ph := Phase{From: len(v.Points), Baseline: chosen}
	if chosen != nil {
		if err := json.Unmarshal([]byte(chosen.Limits), &ph.Limits); err != nil {
			return nil, 0, fmt.Errorf("limits of the baseline %s: %w", chosen.ID, err)
		}
		if err := r.revisions(ctx, &ph); err != nil {
			return nil, 0, err
		}
	} else if ph.Limits, err = r.standIn(ctx, baselines); err != nil {
		return nil, 0, err
	}
	if err := r.lateProducts(ctx, &ph, points); err != nil {
		return nil, 0, err
	}
	for i, p := range points {
		if len(ph.Limits.Groups) > 0 {
			if _, known := ph.Limits.Groups[p.ProductID]; !known {
				v.Waiting[cmp.Or(v.Products[p.ProductID], p.ProductID)]++
				if i < early {
					gone++
				}
				continue
			}
		}
		kept = append(kept, p)
	}
	if len(kept) == 0 {
		return nil, gone, nil
	}
	ph.To = ph.From + len(kept)
	if err := r.judge(&ph, kept); err != nil {
		return nil, 0, err
	}
	return kept, gone, nil
}

// standIn finds the limits where nobody chose a baseline: from the first points,
// or from what there is.
func (r *reader) standIn(ctx context.Context, baselines []models.ChartBaseline) (spc.Limits, error) {
	if found := r.stoodIn; found != nil && found.nature == r.v.Nature {
		return found.limits, nil
	}
	first, err := r.standing(ctx, baselines)
	if err != nil {
		return spc.Limits{}, err
	}
	limits, err := r.freeze(first, nil)
	if err == nil {
		r.stoodIn = &standIn{r.v.Nature, limits}
	}
	return limits, err
}

// standing are the points that stand in for a baseline, read once.
func (r *reader) standing(ctx context.Context, baselines []models.ChartBaseline) ([]Point, error) {
	if r.stood != nil {
		return r.stood, nil
	}
	var until time.Time
	if len(baselines) > 0 {
		until = baselines[0].HoldsFrom
	}
	var err error
	r.stood, err = r.first(ctx, time.Time{}, until)
	return r.stood, err
}

// standIn are limits that hold where nobody chose a baseline; what the result's
// nature is seen in its values, and may be another once more of them are read.
type standIn struct {
	nature Nature
	limits spc.Limits
}

// freeze finds limits from the points of a baseline. Of products that have too few
// of them none are taken in.
func (r *reader) freeze(points []Point, excluded []spc.Exclusion) (spc.Limits, error) {
	kind := r.v.Kind
	if r.several && r.v.Nature != CountedThings {
		if enough := r.withCentre(points, excluded); len(enough) > 0 {
			points, excluded = keepOf(points, enough, excluded)
		} else {
			kind, _ = chartFor(Level, false) // Nothing to hold against each other yet: the values as they are, without limits.
		}
	}
	if len(points)-len(excluded) < 2 {
		return few(len(points), spc.NoLimitsFewPoints), nil
	}
	definition, err := spc.ChartOf(kind)
	if err != nil {
		return spc.Limits{}, err
	}
	l, err := r.frozen(definition, r.data(kind, points, spc.Baseline{Excluded: excluded}))
	if errors.Is(err, stats.ErrNoSpread) {
		return few(len(points), spc.NoLimitsNoSpread), nil
	}
	if errors.Is(err, stats.ErrTooFew) {
		return few(len(points), spc.NoLimitsFewPoints), nil
	}
	if err != nil {
		return spc.Limits{}, fmt.Errorf("limits of %s: %w", r.v.Query.Result, err)
	}
	if kind != r.v.Kind {
		l.Facts.NoLimits, l.Facts.NoLimitsReason = true, spc.NoLimitsFewPoints
	}
	return l, nil
}

// few are the limits of a chart that can have none yet, and shows the values as
// they were measured.
func few(n int, reason string) spc.Limits {
	return spc.Limits{Kind: "individuals", Scale: spc.AsMeasured, Facts: spc.Facts{N: n, Distinct: n, Provisional: true, NoLimits: true, NoLimitsReason: reason}}
}

// withCentre names the products that have points enough for a centre of their own.
func (r *reader) withCentre(points []Point, excluded []spc.Exclusion) map[string]bool {
	count := map[string]int{}
	for i, p := range points {
		if p.ProductID != "" && !slices.ContainsFunc(excluded, func(e spc.Exclusion) bool { return e.Index == i }) {
			count[p.ProductID]++
		}
	}
	enough := map[string]bool{}
	for id, n := range count {
		if n >= r.fewest() {
			enough[id] = true
		}
	}
	return enough
}

// fewest is how many points give a product a centre, and a sigma where it has one
// of its own.
func (r *reader) fewest() int {
	if r.v.Nature == Signed {
		return spc.FewestForLimits
	}
	return spc.FewestOfProduct
}

// keepOf takes the points of some products, with the exclusions among them.
func keepOf(points []Point, products map[string]bool, excluded []spc.Exclusion) (kept []Point, of []spc.Exclusion) {
	for i, p := range points {
		if !products[p.ProductID] {
			continue
		}
		for _, e := range excluded {
			if e.Index == i {
				e.Index = len(kept)
				of = append(of, e)
			}
		}
		kept = append(kept, p)
	}
	return kept, of
}

// lateProducts gives a product that the baseline does not know a centre from its
// own first points of the phase.
func (r *reader) lateProducts(ctx context.Context, ph *Phase, points []Point) error {
	if len(ph.Limits.Groups) == 0 {
		return nil
	}
	unknown := map[string]bool{}
	for _, p := range points {
		if _, known := ph.Limits.Groups[p.ProductID]; !known && p.ProductID != "" {
			unknown[p.ProductID] = true
		}
	}
	if len(unknown) == 0 {
		return nil
	}
	ph.Limits.Groups = maps.Clone(ph.Limits.Groups)
	for id := range unknown {
		var since time.Time
		if ph.Baseline != nil {
			since = ph.Baseline.HoldsFrom
		}
		first, err := r.oldest(ctx, id, since, time.Time{}, firstOfProduct)
		if err != nil {
			return err
		}
		if len(first) < r.fewest() {
			continue
		}
		own := *r
		l, err := own.freezeOne(ph.Limits.Kind, first)
		if err != nil {
			continue // No spread among them yet: the product waits.
		}
		if g, ok := l.Groups[id]; ok {
			ph.Limits.Groups[id] = g
		}
	}
	return nil
}

// freezeOne finds the centre of one product on a chart of several.
func (r *reader) freezeOne(kind string, points []Point) (spc.Limits, error) {
	definition, err := spc.ChartOf(kind)
	if err != nil {
		return spc.Limits{}, err
	}
	return r.frozen(definition, r.data(kind, points, spc.Baseline{}))
}

// frozen finds limits, with the products of a chart of ratios about their means.
func (r *reader) frozen(definition spc.Definition, data spc.Input) (spc.Limits, error) {
	l, err := definition.Freeze(data)
	if several, ok := data.(spc.ShortRun); ok && err == nil {
		return definition.CentreByMeans(l, several)
	}
	return l, err
}

// revisions says by which specification a chosen baseline was found, and whether
// the limits of the result have changed since.
func (r *reader) revisions(ctx context.Context, ph *Phase) error {
	now := r.v.Specification
	ph.Revision, ph.RevisionNow = now.Revision, now.Revision
	if ph.Baseline.SpecificationID == now.ID {
		return nil
	}
	then, err := r.store.Specification(ctx, ph.Baseline.SpecificationID)
	if err != nil {
		return fmt.Errorf("specification of the baseline %s: %w", ph.Baseline.ID, err)
	}
	ph.Revision = then.Revision
	before, _, ok := then.Limit(r.v.Query.Result)
	ph.Changed = !ok || before.Low != r.v.Limit.Low || before.High != r.v.Limit.High || before.Unit != r.v.Limit.Unit
	return nil
}

func sortPoints(points []Point) {
	slices.SortFunc(points, func(a, b Point) int {
		return cmp.Or(a.MeasuredAt.Compare(b.MeasuredAt), cmp.Compare(a.InspectionID, b.InspectionID))
	})
}
