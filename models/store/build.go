package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// BuildList gives the newest list of a family's build steps.
func (s *Store) BuildList(ctx context.Context, familyID string) (models.BuildList, error) {
	return newest[models.BuildList](ctx, s, "find the build steps of family "+familyID, "n DESC", "family_id = ?", familyID)
}

// AddBuildList adds the next list of a family and returns it with its number.
// models.ErrStale says that it does not follow the newest.
func (s *Store) AddBuildList(ctx context.Context, stamp models.Stamp, l models.BuildList) (models.BuildList, error) {
	l.MadeAt, l.MadeBy = settled(l.MadeAt, stamp), orActor(l.MadeBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var last models.BuildList
		if err := tx.Where("family_id = ?", l.FamilyID).Order("n DESC").Limit(1).Find(&last).Error; err != nil {
			return err
		}
		if l.N != last.N+1 {
			return fmt.Errorf("list %d does not follow %d: %w", l.N, last.N, models.ErrStale)
		}
		if err := add(tx, &l); err != nil {
			return err
		}
		return enter(tx, stamp, l, "")
	})
	return l, fault(err, "add build steps of family %s", l.FamilyID)
}

// BuildTicks lists what was ticked off and taken back of an item, oldest first.
func (s *Store) BuildTicks(ctx context.Context, itemID string) ([]models.BuildTick, error) {
	return list[models.BuildTick](ctx, s, "list build steps of item "+itemID, "done_at, id", "item_id = ?", itemID)
}

// AddBuildTick adds one, with the item locked: decide is given what was ticked
// so far and answers with what to add, nil for nothing.
func (s *Store) AddBuildTick(ctx context.Context, stamp models.Stamp, itemID string, decide func(sofar []models.BuildTick) (*models.BuildTick, error)) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if _, err := s.lockItem(tx, itemID); err != nil {
			return err
		}
		var sofar []models.BuildTick
		if err := tx.Where("item_id = ?", itemID).Order("done_at, id").Find(&sofar).Error; err != nil {
			return err
		}
		next, err := decide(sofar)
		if err != nil || next == nil {
			return err
		}
		next.ID, next.ItemID = orNewID(next.ID), itemID
		if next.Volts == nil {
			next.Volts = []string{}
		}
		next.DoneAt, next.DoneBy = settled(next.DoneAt, stamp), orActor(next.DoneBy, stamp)
		if err := add(tx, next); err != nil {
			return err
		}
		return enter(tx, stamp, *next, "")
	})
	return fault(err, "tick a build step of item %s", itemID)
}

// CapacityTest finds one by its id.
func (s *Store) CapacityTest(ctx context.Context, id string) (models.CapacityTest, error) {
	return first[models.CapacityTest](ctx, s, "find capacity test "+id, "id = ?", id)
}

// CapacityTestsOf lists the tests of an item, newest first.
func (s *Store) CapacityTestsOf(ctx context.Context, itemID string) ([]models.CapacityTest, error) {
	return list[models.CapacityTest](ctx, s, "list capacity tests of item "+itemID, "started_at DESC, id DESC", "item_id = ?", itemID)
}

// AddCapacityTest adds a test, with the item locked. One log from one start by the
// same figures is one test: sent again, it gives the one that is there.
func (s *Store) AddCapacityTest(ctx context.Context, stamp models.Stamp, t models.CapacityTest) (models.CapacityTest, error) {
	t.EnteredAt, t.EnteredBy = settled(t.EnteredAt, stamp), orActor(t.EnteredBy, stamp)
	t.StartedAt = models.Moment(t.StartedAt)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if _, err := s.lockItem(tx, t.ItemID); err != nil {
			return err
		}
		var same []models.CapacityTest
		if err := tx.Where("item_id = ? AND log_hash = ? AND started_at = ? AND temperature_c = ? AND cut_off_v = ? AND coef_per_k = ? AND reference_c = ?",
			t.ItemID, t.LogHash, t.StartedAt, t.TemperatureC, t.CutOffV, t.CoefPerK, t.ReferenceC).Order("id").Limit(1).Find(&same).Error; err != nil {
			return err
		}
		if len(same) > 0 {
			t = same[0]
			return nil
		}
		if err := add(tx, &t); err != nil {
			return err
		}
		return enter(tx, stamp, t, "")
	})
	return t, fault(err, "add a capacity test of item %s", t.ItemID)
}
