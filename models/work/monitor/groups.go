package monitor

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

const (
	// groupedItems is how many items the points of a chart by weeks or lots are made
	// of at most.
	groupedItems = 5000
	// firstGroupsCount are the baseline of such a chart.
	firstGroupsCount = 25
)

// readGroups reads items and makes points of them.
func (r *reader) readGroups(ctx context.Context) error {
	q := r.v.Query
	items, err := r.series(ctx, func(s *models.SeriesQuery) { s.From, s.To, s.Limit = q.From, q.To, groupedItems })
	if err != nil {
		return err
	}
	r.v.Points = r.groups(items, r.zone(ctx))
	if len(items) == groupedItems && len(r.v.Points) > 1 { // Of the oldest some are missing.
		r.v.Truncated, r.v.Points = true, r.v.Points[1:]
	}
	return nil
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
			points = append(points, Point{Group: name})
		}
		p := &points[i]
		if p.Count == 0 { // The first no is the one to be opened.
			one := pointOf(item)
			one.Group, one.Size, one.readings = p.Group, p.Size, p.readings
			*p = one
		}
		p.Size++
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
