package store

import (
	"context"
	"time"

	"tracewright/models"
)

// uncertified lists wheels and packs that passed and have no certificate. It goes
// by the products of these kinds, for blocks that conform stay in that state for
// good and there are many of them.
const uncertified = `SELECT CAST(i.id AS text), coalesce(i.serial, ''), i.kind, i.created_at
	FROM families AS f CROSS JOIN products AS p CROSS JOIN items AS i
	WHERE f.kind IN ('wheel', 'pack') AND p.family_id = f.id AND i.product_id = p.id AND i.state IN ('conforming', 'conceded') AND ` + inHouse + ` LIMIT ?`

// Uncertified lists wheels and packs that wait for a certificate, in no order, at
// most limit.
func (s *Store) Uncertified(ctx context.Context, limit int) ([]models.Uncertified, error) {
	var list []models.Uncertified
	err := s.ask(ctx, question{uncertified, []any{limit}, func(scan func(...any) error) error {
		var u models.Uncertified
		if err := scan(&u.ItemID, &u.Serial, &u.Kind, &u.MadeAt); err != nil {
			return err
		}
		u.MadeAt = u.MadeAt.UTC()
		list = append(list, u)
		return nil
	}})
	return list, fault(err, "list what waits for a certificate")
}

// UnansweredClaims lists the claims about which nobody has decided, oldest first,
// at most limit; nothing of the customer comes along.
func (s *Store) UnansweredClaims(ctx context.Context, limit int) ([]models.Claim, error) {
	var found []models.Claim
	err := s.read.WithContext(ctx).Where(unanswered).Order("opened_at, id").Limit(limit).Find(&found).Error
	return found, fault(err, "list claims without an answer")
}

// UnplacedWaiting counts the inspections that have no place, and gives the moment
// of the oldest.
func (s *Store) UnplacedWaiting(ctx context.Context) (n int, since time.Time, err error) {
	var list []models.Unplaced
	err = s.read.WithContext(ctx).Select("id", "received_at").Where(unsettled).Order("received_at, id").Limit(mostCounted).Find(&list).Error
	if len(list) > 0 {
		since = list[0].ReceivedAt
	}
	return len(list), since, fault(err, "count what has no place")
}

// mostCounted is how far what waits is counted.
const mostCounted = 1000

// OpenRecalls lists the recalls that have not ended, the newest first.
func (s *Store) OpenRecalls(ctx context.Context) ([]models.RecallView, error) {
	return s.recallViews(ctx, "NOT EXISTS (SELECT 1 FROM recall_ends WHERE recall_ends.recall_id = recalls.id)")
}

// NewestGaugeTraces lists the newest answer for each failure of a gauge since a
// moment, without their content, the oldest first.
func (s *Store) NewestGaugeTraces(ctx context.Context, since time.Time) ([]models.GaugeTrace, error) {
	var found []models.GaugeTrace
	err := s.read.WithContext(ctx).Omit("Content").Where("made_at >= ? AND NOT EXISTS (SELECT 1 FROM gauge_traces AS later WHERE later.instrument_id = gauge_traces.instrument_id AND later.cause_id = gauge_traces.cause_id AND later.n > gauge_traces.n)", models.Moment(since)).
		Order("made_at, id").Limit(mostTraces).Find(&found).Error
	return found, fault(err, "list the newest reverse traces")
}

// mostTraces is more failures of gauges than a shop has in a year.
const mostTraces = 200

// RecalledTraces lists the keys of the reverse traces by which something was called
// back.
func (s *Store) RecalledTraces(ctx context.Context) ([]string, error) {
	var found []models.Recall
	if err := s.read.WithContext(ctx).Select("id", "scope").Order("made_at DESC").Limit(mostTraces).Find(&found).Error; err != nil {
		return nil, fault(err, "list what was called back by a reverse trace")
	}
	var keys []string
	for _, r := range found {
		if r.Scope.Trace != "" {
			keys = append(keys, r.Scope.Trace)
		}
	}
	return keys, nil
}
