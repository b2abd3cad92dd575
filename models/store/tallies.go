package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// Tallies are kept without a word from whoever records: an inspection, a part, a
// nonconformity or a claim leaves its entry in the log of changes anyhow, and the
// sealer numbers the entries one after the other. FoldTallies reads on from the
// entry where it stopped, marks the days that changed, and sums those up anew from
// the records. A recording pays nothing for it, and two that write the same day do
// not wait for each other.

// tallyState is up to where the days are marked.
type tallyState struct {
	One  int `gorm:"primaryKey"`
	Zone string
	Seq  int64
}

// tallyDay is a day of a family, as it is marked.
type tallyDay struct{ FamilyID, Day string }

const (
	entriesAtOnce   = 20_000 // of the log, that one transaction marks the days of
	tallyRowsAtOnce = 200    // written by one transaction: capture waits for no more
)

// dayForm is how a day of the shop is written.
const dayForm = time.DateOnly

// dayBounds is when a day of a zone begins, and the next one.
func dayBounds(day string, zone *time.Location) (from, to time.Time, err error) {
	if from, err = models.ReadDay(day, zone); err != nil {
		return from, to, err
	}
	return from.UTC(), models.DayOf(from, 1).UTC(), nil
}

// FoldTallies brings the tallies up to what is recorded now, for days of this
// zone, summing up at most that many days of a family. It returns how many are
// left. Another zone than the last time marks every day.
func (s *Store) FoldTallies(ctx context.Context, zone *time.Location, most int) (waiting int, err error) {
	for {
		more, err := s.markTallies(ctx, zone)
		if err != nil {
			return 0, fault(err, "mark the days to be summed up")
		}
		if !more {
			break
		}
	}
	for most > 0 {
		done, err := s.sumTallies(ctx, zone, most)
		if err != nil {
			return 0, fault(err, "sum up days")
		}
		if most -= done; done == 0 {
			return 0, nil
		}
	}
	return s.talliesWaiting(ctx)
}

func (s *Store) talliesWaiting(ctx context.Context) (int, error) {
	var n int64
	err := s.read.WithContext(ctx).Table("tally_days").Count(&n).Error
	return int(n), fault(err, "count the days to be summed up")
}

// RebuildTallies sums every day up anew, whatever stands there; progress is told
// how many days of a family are done, and of how many. A run that is cut short is
// finished by the next fold.
func (s *Store) RebuildTallies(ctx context.Context, zone *time.Location, progress func(done, total int)) error {
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if _, err := s.lockTallies(tx); err != nil {
			return err
		}
		return s.markEveryDay(tx, zone)
	})
	if err != nil {
		return fault(err, "mark every day to be summed up")
	}
	total, err := s.talliesWaiting(ctx)
	if err != nil {
		return err
	}
	for done := 0; ; {
		progress(min(done, total), total)
		n, err := s.sumTallies(ctx, zone, tallyRowsAtOnce)
		if err != nil {
			return fault(err, "sum up days")
		}
		if n == 0 {
			return nil
		}
		done += n
	}
}

// lockTallies holds the state, so that one at a time marks or sums up: of two, the
// later would write what the earlier had read.
func (s *Store) lockTallies(tx *gorm.DB) (tallyState, error) {
	var state tallyState
	err := s.locked(tx).Where("one = 1").Take(&state).Error
	return state, err
}

// markTallies marks the days that the next entries changed; more says that there
// are others.
func (s *Store) markTallies(ctx context.Context, zone *time.Location) (more bool, err error) {
	// Most of the time nothing has come: looking takes no lock.
	var state tallyState
	if err := s.read.WithContext(ctx).Where("one = 1").Take(&state).Error; err != nil {
		return false, err
	}
	feed, err := s.entriesAfter(s.read.WithContext(ctx), state.Seq)
	if err != nil || state.Zone == zone.String() && feed.nothing(state.Seq) {
		return false, err
	}
	err = s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if state, err = s.lockTallies(tx); err != nil {
			return err
		}
		if state.Zone != zone.String() {
			return s.markEveryDay(tx, zone)
		}
		if feed, err = s.entriesAfter(tx, state.Seq); err != nil {
			return err
		}
		days, err := feed.days(tx, zone)
		if err != nil {
			return err
		}
		if err := markDays(tx, days); err != nil {
			return err
		}
		more = feed.more
		return tx.Table("tally_states").Where("one = 1").Update("seq", feed.to).Error
	})
	return more, err
}

// markEveryDay marks each day of a family that has records, or tallies from
// before.
func (s *Store) markEveryDay(tx *gorm.DB, zone *time.Location) error {
	// The end of the log first: what comes while the days are looked for is then
	// marked by its entry.
	to := int64(-1)
	if err := tx.Raw("SELECT coalesce(max(size), 0) - 1 FROM trail_heads").Scan(&to).Error; err != nil {
		return err
	}
	days, err := everyDay(tx, zone)
	if err != nil {
		return err
	}
	if err := markDays(tx, days); err != nil {
		return err
	}
	return tx.Table("tally_states").Where("one = 1").Updates(map[string]any{"zone": zone.String(), "seq": to}).Error
}

// Tallies reads the tallies of days, in the order of their keys.
func (s *Store) Tallies(ctx context.Context, q models.TallyQuery) (models.Tallied, error) {
	var out models.Tallied
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state for all.
		in := func(families []string, place bool) *gorm.DB {
			query := tx.Where("family_id IN ? AND day >= ? AND day <= ?", families, q.From, q.To)
			if q.ProductID != "" {
				query = query.Where("product_id = ?", q.ProductID)
			}
			if place && q.Place != "" {
				query = query.Where("place = ?", q.Place)
			}
			return query
		}
		if err := in(q.Families, true).Order("family_id, day, stage, product_id, place, person_id").Find(&out.Sets).Error; err != nil {
			return err
		}
		families := q.Families
		if q.Unknown && q.ProductID == "" {
			families = append([]string{""}, families...)
		}
		defects := in(families, false)
		if q.Place != "" { // What was found later knows no place.
			defects = defects.Where("place = ? OR source IN ?", q.Place, []string{models.FromNonconformity, models.FromClaim})
		}
		if err := defects.Order("family_id, day, source, code, stage, product_id, place, person_id, severity, currency").Find(&out.Defects).Error; err != nil {
			return err
		}
		if q.Place == "" { // Lots are not counted by place.
			if err := in(q.Families, false).Order("family_id, day, stage, lot_id, product_id").Find(&out.Lots).Error; err != nil {
				return err
			}
		}
		var n int64
		err := tx.Table("tally_days").Where("family_id IN ?", families).Count(&n).Error
		out.Waiting = int(n)
		return err
	})
	return out, fault(err, "read tallies")
}
