package store

import (
	"context"
	"time"

	"tracewright/models"
)

// Inspection finds one by id.
func (s *Store) Inspection(ctx context.Context, id string) (models.Inspection, error) {
	return first[models.Inspection](ctx, s, "find inspection "+id, "id = ?", id)
}

// InspectionsOf gives every inspection of an item, newest first, replaced ones
// among them.
func (s *Store) InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error) {
	return list[models.Inspection](ctx, s, "list inspections of item "+itemID, "measured_at DESC, id DESC", "item_id = ?", itemID)
}

// InspectionView is one inspection with its parts.
func (s *Store) InspectionView(ctx context.Context, id string) (models.InspectionView, error) {
	i, err := s.Inspection(ctx, id)
	if err != nil {
		return models.InspectionView{}, err
	}
	views, err := s.views(ctx, []models.Inspection{i}, whole)
	if err != nil {
		return models.InspectionView{}, err
	}
	return views[0], nil
}

// ViewsOf gives the inspections of an item with their parts, newest first.
func (s *Store) ViewsOf(ctx context.Context, itemID string) ([]models.InspectionView, error) {
	inspections, err := s.InspectionsOf(ctx, itemID)
	if err != nil {
		return nil, err
	}
	return s.views(ctx, inspections, whole)
}

// GlanceOf gives the inspections of an item, newest first, of which the newest
// standing one and the one named have their readings and results; the others
// only say that they were. It costs the same however long the history is.
func (s *Store) GlanceOf(ctx context.Context, itemID, open string) ([]models.InspectionView, error) {
	inspections, err := s.InspectionsOf(ctx, itemID)
	if err != nil {
		return nil, err
	}
	latest := ""
	for _, i := range inspections {
		if i.SupersededBy == nil {
			latest = i.ID
			break
		}
	}
	return s.views(ctx, inspections, func(i models.Inspection) bool { return i.ID == latest || i.ID == open })
}

func whole(models.Inspection) bool { return true }

// views reads the parts of inspections with one query a table, however many
// there are; readings and results only of those that are wanted whole.
func (s *Store) views(ctx context.Context, inspections []models.Inspection, whole func(models.Inspection) bool) ([]models.InspectionView, error) {
	if len(inspections) == 0 {
		return nil, nil
	}
	var ids []string
	people, specs := map[string]string{}, map[string]models.Specification{}
	for _, x := range inspections {
		if whole(x) {
			ids = append(ids, x.ID)
		}
		people[x.PersonID] = ""
		specs[x.SpecificationID] = models.Specification{}
	}
	var sets []models.ReadingSet
	var results []models.Result
	instruments := map[string]models.Instrument{}
	err := s.Together(ctx, func(ctx context.Context) (err error) {
		if sets, err = list[models.ReadingSet](ctx, s, "read reading sets", "inspection_id, code, method", "inspection_id IN ?", ids); err != nil {
			return err
		}
		for _, set := range sets {
			if set.InstrumentID != nil {
				instruments[*set.InstrumentID] = models.Instrument{}
			}
		}
		return s.fillInstruments(ctx, instruments)
	}, func(ctx context.Context) (err error) {
		results, err = list[models.Result](ctx, s, "read results", "inspection_id, code, position", "inspection_id IN ?", ids)
		return err
	}, func(ctx context.Context) error {
		return s.fill(ctx, people, specs)
	})
	if err != nil {
		return nil, err
	}
	views, at := make([]models.InspectionView, len(inspections)), map[string]int{}
	for i, x := range inspections {
		views[i] = models.InspectionView{Inspection: x, Person: people[x.PersonID], Specification: specs[x.SpecificationID]}
		at[x.ID] = i
	}
	for _, set := range sets {
		v := &views[at[set.InspectionID]]
		v.Sets = append(v.Sets, takenBy(set, v.Inspection))
		if set.InstrumentID != nil && !holds(v.Instruments, *set.InstrumentID) {
			v.Instruments = append(v.Instruments, instruments[*set.InstrumentID])
		}
	}
	for _, r := range results {
		v := &views[at[r.InspectionID]]
		v.Results = append(v.Results, r)
	}
	return views, nil
}

func holds(list []models.Instrument, id string) bool {
	for _, i := range list {
		if i.ID == id {
			return true
		}
	}
	return false
}

// fill reads people and specifications that inspections name, by their keys.
func (s *Store) fill(ctx context.Context, people map[string]string, specs map[string]models.Specification) error {
	persons, err := list[models.Person](ctx, s, "read people", "id", "id IN ?", keys(people))
	if err != nil {
		return err
	}
	for _, p := range persons {
		people[p.ID] = p.Name
	}
	for id := range specs {
		if specs[id], err = s.Specification(ctx, id); err != nil {
			return err
		}
	}
	return nil
}

// fillInstruments reads those that sets were taken by.
func (s *Store) fillInstruments(ctx context.Context, instruments map[string]models.Instrument) error {
	if len(instruments) == 0 {
		return nil
	}
	gauges, err := list[models.Instrument](ctx, s, "read instruments", "code", "id IN ?", keys(instruments))
	for _, i := range gauges {
		instruments[i.ID] = i
	}
	return err
}

func keys[V any](m map[string]V) []string {
	list := make([]string, 0, len(m))
	for k := range m {
		list = append(list, k)
	}
	return list
}

// RecentInspections lists the last ones received, newest first.
func (s *Store) RecentInspections(ctx context.Context, limit int) ([]models.RecentInspection, error) {
	var rows []models.RecentInspection
	err := s.read.WithContext(ctx).Raw(`SELECT i.id AS inspection_id, i.item_id, coalesce(t.serial, '') AS serial, t.kind, coalesce(p.name, '') AS product,
	i.stage, i.verdict, w.name AS person, i.place, i.measured_at, i.received_at
FROM inspections AS i JOIN items AS t ON t.id = i.item_id JOIN people AS w ON w.id = i.person_id LEFT JOIN products AS p ON p.id = i.product_id
WHERE i.superseded_by IS NULL ORDER BY i.received_at DESC, i.id DESC LIMIT ?`, limit).Scan(&rows).Error
	return rows, fault(err, "list recent inspections")
}

// DayCounts counts the standing inspections received in from <= t < to, by
// kind, stage and verdict.
func (s *Store) DayCounts(ctx context.Context, from, to time.Time) ([]models.DayCount, error) {
	var rows []models.DayCount
	err := s.read.WithContext(ctx).Raw(`SELECT t.kind, i.stage, i.verdict, count(*) AS count
FROM inspections AS i JOIN items AS t ON t.id = i.item_id
WHERE i.superseded_by IS NULL AND i.received_at >= ? AND i.received_at < ?
GROUP BY t.kind, i.stage, i.verdict ORDER BY t.kind, i.stage, i.verdict`, models.Moment(from), models.Moment(to)).Scan(&rows).Error
	return rows, fault(err, "count inspections")
}
