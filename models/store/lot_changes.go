package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddLotCheck keeps an incoming inspection with the decision that follows from
// it, nil for none.
func (s *Store) AddLotCheck(ctx context.Context, stamp models.Stamp, c models.LotCheck, follows *models.LotDecision) error {
	c.CheckedAt, c.CheckedBy = settled(c.CheckedAt, stamp), orActor(c.CheckedBy, stamp)
	return fault(s.changing(ctx, func(tx *gorm.DB) error {
		if err := add(tx, &c); err != nil {
			return err
		}
		if err := enter(tx, stamp, c, ""); err != nil || follows == nil {
			return err
		}
		return s.addLotDecision(tx, stamp, *follows)
	}), "keep the inspection of lot %s", c.LotID)
}

// AddLotDecision keeps what was decided about a lot, the lot locked.
// models.ErrStale says that another decision holds than the one it was taken
// since.
func (s *Store) AddLotDecision(ctx context.Context, stamp models.Stamp, d models.LotDecision) error {
	return fault(s.changing(ctx, func(tx *gorm.DB) error { return s.addLotDecision(tx, stamp, d) }), "decide about lot %s", d.LotID)
}

func (s *Store) addLotDecision(tx *gorm.DB, stamp models.Stamp, d models.LotDecision) error {
	if err := s.locked(tx).Where("id = ?", d.LotID).Take(&models.Lot{}).Error; err != nil {
		return err
	}
	if d.Since != nil {
		var last []models.LotDecision
		if err := tx.Where("lot_id = ?", d.LotID).Order("decided_at DESC, id DESC").Limit(1).Find(&last).Error; err != nil {
			return err
		}
		held := ""
		if len(last) > 0 {
			held = last[0].ID
		}
		if held != *d.Since {
			return fmt.Errorf("decision %q holds by now: %w", held, models.ErrStale)
		}
	}
	d.DecidedAt, d.DecidedBy = settled(d.DecidedAt, stamp), orActor(d.DecidedBy, stamp)
	if err := add(tx, &d); err != nil {
		return err
	}
	return enter(tx, stamp, d, "")
}

// AddLotScrap keeps what was thrown away of a lot.
func (s *Store) AddLotScrap(ctx context.Context, stamp models.Stamp, x models.LotScrap) error {
	x.ScrappedAt, x.ScrappedBy = settled(x.ScrappedAt, stamp), orActor(x.ScrappedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &x), "scrap pieces of lot %s", x.LotID)
}

// AddLotCount keeps a count of a lot.
func (s *Store) AddLotCount(ctx context.Context, stamp models.Stamp, c models.LotCount) error {
	c.CountedAt, c.CountedBy = settled(c.CountedAt, stamp), orActor(c.CountedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &c), "keep a count of lot %s", c.LotID)
}

// AddLotExplanation keeps why a lot does not add up.
func (s *Store) AddLotExplanation(ctx context.Context, stamp models.Stamp, e models.LotExplanation) error {
	e.ExplainedAt, e.ExplainedBy = settled(e.ExplainedAt, stamp), orActor(e.ExplainedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &e), "explain lot %s", e.LotID)
}

// AddLotMixes puts lots into a bin, which is added first where it is new, and keeps
// why more of some was put in than they had; models.ErrConflict when its code is
// taken.
func (s *Store) AddLotMixes(ctx context.Context, stamp models.Stamp, bin *models.Lot, mixes []models.LotMix, why ...models.LotExplanation) error {
	return fault(s.changing(ctx, func(tx *gorm.DB) error {
		if bin != nil {
			if err := addLot(tx, stamp, *bin); err != nil {
				return err
			}
		}
		for _, m := range mixes {
			m.MixedAt, m.MixedBy = settled(m.MixedAt, stamp), orActor(m.MixedBy, stamp)
			if err := add(tx, &m); err != nil {
				return err
			}
			if err := enter(tx, stamp, m, ""); err != nil {
				return err
			}
		}
		for _, e := range why {
			e.ExplainedAt, e.ExplainedBy = settled(e.ExplainedAt, stamp), orActor(e.ExplainedBy, stamp)
			if err := add(tx, &e); err != nil {
				return err
			}
			if err := enter(tx, stamp, e, ""); err != nil {
				return err
			}
		}
		return nil
	}), "mix lots")
}
