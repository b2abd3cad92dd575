package store

import (
	"context"

	"tracewright/models"
)

// TrailOf lists the entries that speak of these subjects, oldest first.
func (s *Store) TrailOf(ctx context.Context, subjects []string, limit int) ([]models.TrailEntry, error) {
	if len(subjects) == 0 {
		return nil, nil
	}
	var entries []models.TrailEntry
	err := s.read.WithContext(ctx).Where("subject IN ?", subjects).Order("at, id").Limit(limit).Find(&entries).Error
	return entries, fault(err, "read the trail")
}

// TrailCount counts the entries that speak of these subjects.
func (s *Store) TrailCount(ctx context.Context, subjects []string) (int, error) {
	if len(subjects) == 0 {
		return 0, nil
	}
	n := 0
	err := s.ask(ctx, s.question("SELECT count(*) FROM trail_entries WHERE subject IN ?", []any{subjects}, func(scan func(...any) error) error { return scan(&n) }))
	return n, fault(err, "count the trail")
}

// UnsealedCount counts the entries that are not in the chain yet.
func (s *Store) UnsealedCount(ctx context.Context) (int, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.TrailEntry{}).Where("seq IS NULL").Count(&n).Error
	return int(n), fault(err, "count unsealed entries")
}
