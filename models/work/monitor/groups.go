package monitor

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

const (
	// groupedItems is how many items the points of a chart by weeks or lots are made
	// of at most.
	groupedItems = 10_000
	// firstGroupsCount are the baseline of such a chart where nobody chose one.
	firstGroupsCount = 25
)

// readGroups reads items and makes points of them. What lies before the asked period is
// read as well: whole weeks and lots are the same whatever part is looked at, and so is
// a smoothed mean.
func (r *reader) readGroups(ctx context.Context) error {
	q, zone := r.v.Query, r.zone(ctx)
	to := q.To
	if r.v.Grouped == ByWeek && !to.IsZero() {
		to = monday(to.Add(-time.Millisecond).In(zone)).AddDate(0, 0, 7)
	}
	items, err := r.series(ctx, func(s *models.SeriesQuery) { s.To, s.Limit = to, groupedItems })
	if err != nil {
		return err
	}
	r.v.Points = r.groups(items, zone)
	if len(items) == groupedItems && len(r.v.Points) > 1 { // Of the oldest some are missing.
		r.v.Truncated, r.v.Points = true, r.v.Points[1:]
	}
	r.before = slices.IndexFunc(r.v.Points, func(p Point) bool { return !p.Ended.Before(q.From) })
	if r.before < 0 { // Nothing in the period, and nothing to show.
		r.before, r.v.Points = 0, nil
	}
	return nil
}

// stretchOfGroups are the weeks or lots from the one that an inspection belongs to, to
// that of another.
func (r *reader) stretchOfGroups(ctx context.Context, first, last string) ([]Point, error) {
	if err := r.readGroups(ctx); err != nil {
		return nil, err
	}
	at := func(id string) int { return slices.IndexFunc(r.v.Points, func(p Point) bool { return p.Has(id) }) }
	from, to := at(first), at(last)
	invalid := &models.InvalidError{}
	if from < 0 {
		invalid.Add("first", "no_such_point")
	}
	if to < 0 {
		invalid.Add("last", "no_such_point")
	}
	if from >= 0 && to >= 0 && to < from {
		invalid.Add("last", "end_before_start")
	}
	if err := invalid.OrNil(); err != nil {
		return nil, err
	}
	return r.v.Points[from : to+1], nil
}

// firstGroups are the ones that stand in for a baseline.
func (r *reader) firstGroups(ctx context.Context, from, to time.Time) ([]Point, error) {
	items, err := r.series(ctx, func(s *models.SeriesQuery) { s.From, s.To, s.Oldest, s.Limit = from, to, true, groupedItems })
	if err != nil {
		return nil, err
	}
	points := r.groups(items, r.zone(ctx))
	if len(items) == groupedItems && len(points) > 1 {
		points = points[:len(points)-1]
	}
	return points[:min(len(points), firstGroupsCount)], nil
}

// groups makes a point of each week, or of each lot in the order in which lots
// began. A lot of one block has no spread and is none.
func (r *reader) groups(items []models.SeriesPoint, zone *time.Location) []Point {
	var points []Point
	at := map[string]int{}
	for _, item := range items {
		name := item.Lot
		if r.v.Grouped == ByWeek {
			name = monday(item.MeasuredAt.In(zone)).Format(time.DateOnly)
		}
		i, known := at[name]
		if !known {
			i = len(points)
			at[name] = i
			one := pointOf(item)
			one.Group, one.Began, one.members = name, item.MeasuredAt, map[string]bool{}
			if r.v.Grouped == ByWeek { // Also where the first item of the week comes late.
				one.Began = monday(item.MeasuredAt.In(zone))
			}
			points = append(points, one)
		}
		p := &points[i]
		if r.v.Grouped == ByWeek && item.ValueF > 0 && p.Count == 0 { // The first no is the one to be opened.
			one := pointOf(item)
			one.Group, one.Size, one.Began, one.readings, one.members = p.Group, p.Size, p.Began, p.readings, p.members
			*p = one
		}
		p.Size++
		p.Ended, p.members[item.InspectionID] = item.MeasuredAt, true
		p.readings = append(p.readings, item.ValueF)
		if r.v.Grouped == ByWeek && item.ValueF > 0 {
			p.Count++
		}
	}
	kept := points[:0]
	for _, p := range points {
		if r.v.Grouped == ByLot && p.Size < 2 {
			continue
		}
		p.readings = p.readings[:min(len(p.readings), spc.MaxSubgroup)] // Of more, the first hundred tell as much.
		p.ValueF = meanOf(p.readings)
		p.Value = asText(map[string]float64{"x": p.ValueF}, r.v.Decimals+2)["x"]
		if r.v.Grouped == ByWeek {
			p.ValueF = 100 * float64(p.Count) / float64(p.Size)
			p.Value = fmt.Sprintf("%.1f", p.ValueF)
		}
		kept = append(kept, p)
	}
	return kept
}

// monday is the day on which the week of a day begins.
func monday(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day()-(int(t.Weekday())+6)%7, 0, 0, 0, 0, t.Location())
}

// grouped gives groups as their chart takes them.
func grouped(kind string, points []Point, resolution float64, baseline spc.Baseline) spc.Input {
	if kind == "three_way" {
		in := spc.Items{Resolution: resolution, Baseline: baseline}
		for _, p := range points {
			in.Readings = append(in.Readings, p.readings)
		}
		return in
	}
	in := spc.Counts{Baseline: baseline}
	for _, p := range points {
		in.Counts, in.Of = append(in.Counts, p.Count), append(in.Of, float64(p.Size))
	}
	return in
}
