package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// AddReview keeps a review with its paper. models.ErrConflict says that somebody
// kept that edition meanwhile.
func (s *Store) AddReview(ctx context.Context, stamp models.Stamp, r models.Review, file models.File) (models.Review, error) {
	r.ID, r.MadeAt, r.MadeBy, r.FileHash = orNewID(r.ID), settled(r.MadeAt, stamp), orActor(r.MadeBy, stamp), file.Hash
	file.CreatedAt = settled(file.CreatedAt, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&file).Error; err != nil {
			return err
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		return enter(tx, stamp, r, "")
	})
	return r, fault(err, "keep the review of the %s from %s", r.Period, r.FirstDay)
}

// Reviews lists those that are kept, the newest period first and of one its newest
// edition first, without their content.
func (s *Store) Reviews(ctx context.Context, limit int) ([]models.Review, error) {
	var found []models.Review
	err := s.read.WithContext(ctx).Omit("Content").Order("first_day DESC, period, edition DESC").Limit(limit).Find(&found).Error
	return found, fault(err, "list reviews")
}

// Review finds one by its key.
func (s *Store) Review(ctx context.Context, id string) (models.Review, error) {
	return first[models.Review](ctx, s, "find a review", "id = ?", id)
}

// NewestReview finds the newest edition for a period, models.ErrNotFound where there
// is none.
func (s *Store) NewestReview(ctx context.Context, period, firstDay string) (models.Review, error) {
	var r models.Review
	err := s.read.WithContext(ctx).Where("period = ? AND first_day = ?", period, firstDay).Order("edition DESC").Take(&r).Error
	return r, fault(err, "find the review of the %s from %s", period, firstDay)
}

// WorkCounts counts what a time brought and what was settled in it, each through an
// index by its moment.
func (s *Store) WorkCounts(ctx context.Context, from, to time.Time) (models.WorkCounts, error) {
	var c models.WorkCounts
	a, b := models.Moment(from), models.Moment(to)
	for _, x := range []struct {
		into *int
		text string
		args []any
	}{
		{&c.Certificates, "SELECT count(*) FROM trail_entries WHERE kind = 'certificate' AND at >= ? AND at < ?", []any{a, b}},
		{&c.Nonconformities, "SELECT count(*) FROM nonconformities WHERE opened_at >= ? AND opened_at < ?", []any{a, b}},
		{&c.Holds, "SELECT count(*) FROM holds WHERE raised_at >= ? AND raised_at < ?", []any{a, b}},
		{&c.Claims, "SELECT count(*) FROM claims WHERE opened_at >= ? AND opened_at < ?", []any{a, b}},
		{&c.Shipments, "SELECT count(*) FROM shipments WHERE shipped_at >= ? AND shipped_at < ?", []any{a, b}},
		{&c.Lifted, "SELECT count(*) FROM hold_lifts WHERE lifted_at >= ? AND lifted_at < ?", []any{a, b}},
		{&c.Causes, "SELECT count(*) FROM trail_entries WHERE kind = 'signal_cause' AND at >= ? AND at < ?", []any{a, b}},
		{&c.Closed, "SELECT count(DISTINCT nonconformity_id) FROM nonconformity_steps WHERE what IN ? AND made_at >= ? AND made_at < ?", []any{flow.Settling(), a, b}},
	} {
		if err := s.read.WithContext(ctx).Raw(x.text, x.args...).Scan(x.into).Error; err != nil {
			return c, fault(err, "count the work of a period")
		}
	}
	return c, nil
}
