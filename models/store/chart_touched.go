package store

import (
	"context"

	"tracewright/models"
)

// ChartsTouched lists where the values of these inspections lie, and with them
// those of every other inspection of the same items: a correction takes an
// inspection from one item to another, and whichever set is an item's first may
// change. Product and place are those of the inspections.
func (s *Store) ChartsTouched(ctx context.Context, inspections []string) ([]models.ChartKey, error) {
	if len(inspections) == 0 {
		return nil, nil
	}
	var keys []models.ChartKey
	err := s.read.WithContext(ctx).Raw(`SELECT DISTINCT i.family_id, coalesce(CAST(i.product_id AS text), '') AS product_id, i.place, r.code AS result
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id
WHERE r.position = '' AND i.item_id IN (
	SELECT item_id FROM inspections WHERE id IN ?
	UNION SELECT old.item_id FROM inspections AS new JOIN inspections AS old ON old.id = new.supersedes WHERE new.id IN ?)
ORDER BY 1, 2, 3, 4`, inspections, inspections).Scan(&keys).Error
	return keys, fault(err, "find the charts that %d inspections touch", len(inspections))
}

// ChartsNamed lists which charts these baselines and causes belong to, and where
// these events stand: one for every family has none.
func (s *Store) ChartsNamed(ctx context.Context, records []string) ([]models.ChartKey, error) {
	if len(records) == 0 {
		return nil, nil
	}
	var keys []models.ChartKey
	err := s.read.WithContext(ctx).Raw(`SELECT CAST(family_id AS text) AS family_id, coalesce(CAST(product_id AS text), '') AS product_id, place, result FROM chart_baselines WHERE id IN ?
UNION SELECT CAST(family_id AS text), coalesce(CAST(product_id AS text), ''), place, result FROM signal_causes WHERE id IN ?
UNION SELECT coalesce(CAST(family_id AS text), ''), '', place, '' FROM chart_events WHERE id IN ? ORDER BY 1, 2, 3, 4`, records, records, records).Scan(&keys).Error
	return keys, fault(err, "find the charts of %d records", len(records))
}

// UnsealedSince lists entries that no sealer has taken, in the order of their ids,
// those after one.
func (s *Store) UnsealedSince(ctx context.Context, after string, limit int) ([]models.TrailEntry, error) {
	var entries []models.TrailEntry
	err := s.read.WithContext(ctx).Where("seq IS NULL AND id > ?", after).Order("id").Limit(limit).Find(&entries).Error
	return entries, fault(err, "list what waits to be sealed")
}
