package store

import (
	"context"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
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

// firstVerdictRow is one first set, as the weeks of a review are counted.
type firstVerdictRow struct {
	MeasuredAt time.Time
	Verdict    string
}

// FirstVerdicts lists moment and verdict of every first set of a family in a time that
// passed or failed, oldest first, through the index of first sets. One that lacks a
// result is neither.
func (s *Store) FirstVerdicts(ctx context.Context, familyID string, from, to time.Time) ([]models.FirstVerdict, error) {
	var rows []firstVerdictRow
	err := s.read.WithContext(ctx).Raw("SELECT measured_at, verdict FROM inspections WHERE first_set AND family_id = ? AND measured_at >= ? AND measured_at < ? AND verdict IN ('pass', 'fail') ORDER BY measured_at", familyID, models.Moment(from), models.Moment(to)).Scan(&rows).Error
	out := make([]models.FirstVerdict, len(rows))
	for i, r := range rows {
		out[i] = models.FirstVerdict{MeasuredAt: r.MeasuredAt.UTC(), Passed: r.Verdict == models.VerdictPass}
	}
	return out, fault(err, "list first sets")
}

// FailedResults counts the results that failed in first sets of a family in a time,
// by code.
func (s *Store) FailedResults(ctx context.Context, familyID string, from, to time.Time) (map[string]int, error) {
	var rows []struct {
		Code string
		N    int
	}
	err := s.read.WithContext(ctx).Raw("SELECT r.code, count(DISTINCT i.id) AS n FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id WHERE i.first_set AND i.family_id = ? AND i.measured_at >= ? AND i.measured_at < ? AND r.verdict IN ? GROUP BY r.code", familyID, models.Moment(from), models.Moment(to), []string{models.VerdictFail, models.VerdictConditionalFail, models.VerdictNonconformity}).Scan(&rows).Error
	counts := map[string]int{}
	for _, r := range rows {
		counts[r.Code] = r.N
	}
	return counts, fault(err, "count what failed in first sets")
}

// WorkCounts counts what a time brought: certificates, nonconformities, holds and
// claims, each through an index by its moment.
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
	} {
		if err := s.read.WithContext(ctx).Raw(x.text, x.args...).Scan(x.into).Error; err != nil {
			return c, fault(err, "count the work of a period")
		}
	}
	return c, nil
}
