package store

import (
	"context"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// AddMatch adds a match as it was made.
func (s *Store) AddMatch(ctx context.Context, stamp models.Stamp, m models.Match) error {
	m.ID = orNewID(m.ID)
	m.MadeAt, m.MadeBy = settled(m.MadeAt, stamp), orActor(m.MadeBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &m), "add match %s", m.ID)
}

// Match finds one with what became of it.
func (s *Store) Match(ctx context.Context, id string) (models.MatchView, error) {
	m, err := first[models.Match](ctx, s, "find match "+id, "id = ?", id)
	if err != nil {
		return models.MatchView{}, err
	}
	v := models.MatchView{Match: m}
	if v.Placements, err = list[models.MatchPlacement](ctx, s, "list placements of match "+id, "pack, place", "match_id = ?", id); err != nil {
		return models.MatchView{}, err
	}
	end, err := first[models.MatchEnd](ctx, s, "find the end of match "+id, "match_id = ?", id)
	switch {
	case err == nil:
		v.End = &end
	case !errors.Is(err, models.ErrNotFound):
		return models.MatchView{}, err
	}
	return v, nil
}

// OpenMatches lists those that were neither kept nor dropped, newest first.
func (s *Store) OpenMatches(ctx context.Context) ([]models.Match, error) {
	return list[models.Match](ctx, s, "list open matches", "made_at DESC, id DESC", "NOT EXISTS (SELECT 1 FROM match_ends WHERE match_ends.match_id = matches.id)")
}

// PlaceBlock confirms a block in its place. A place that is taken, a block that
// is placed already, or a match that has ended is models.ErrConflict.
func (s *Store) PlaceBlock(ctx context.Context, stamp models.Stamp, p models.MatchPlacement) error {
	p.ID = orNewID(p.ID)
	p.PlacedAt, p.PlacedBy = settled(p.PlacedAt, stamp), orActor(p.PlacedBy, stamp)
	return fault(s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.openMatch(tx, p.MatchID); err != nil {
			return err
		}
		if err := s.loose(tx, p.MatchID, p.ItemID); err != nil {
			return err
		}
		if err := add(tx, &p); err != nil {
			return err
		}
		return enter(tx, stamp, p, "")
	}), "place block %s", p.ItemID)
}

// openMatch locks a match that has not ended.
func (s *Store) openMatch(tx *gorm.DB, id string) error {
	var m models.Match
	if err := s.locked(tx).Where("id = ?", id).Take(&m).Error; err != nil {
		return err
	}
	var ended int64
	if err := tx.Model(&models.MatchEnd{}).Where("match_id = ?", id).Count(&ended).Error; err != nil {
		return err
	}
	if ended > 0 {
		return fmt.Errorf("match %s has ended: %w", id, models.ErrConflict)
	}
	return nil
}

// loose locks a block and refuses one that is in an item, set aside, or placed
// in another open match: whatever was read before, it may have changed since.
func (s *Store) loose(tx *gorm.DB, matchID, itemID string) error {
	if _, err := s.lockItem(tx, itemID); err != nil {
		return err
	}
	for _, q := range []struct {
		text string
		args []any
		what string
	}{
		{"SELECT count(*) FROM fitted_parts WHERE part_id = ? AND out_at IS NULL", []any{itemID}, "is in an item"},
		{"SELECT count(*) FROM items WHERE id = ? AND state IN ('scrapped', 'returned_to_supplier')", []any{itemID}, "is no longer here"},
		{"SELECT count(*) FROM (SELECT decision FROM dispositions WHERE item_id = ? ORDER BY decided_at DESC, id DESC LIMIT 1) AS d WHERE d.decision = 'quarantine'", []any{itemID}, "is set aside"},
		{"SELECT count(*) FROM block_receipts WHERE item_id = ? AND " + lotStopped("block_receipts.lot_id"), []any{itemID}, "is of a lot that is set aside"},
		{"SELECT count(*) FROM match_placements AS p WHERE p.item_id = ? AND p.match_id <> ? AND NOT EXISTS (SELECT 1 FROM match_ends AS e WHERE e.match_id = p.match_id)", []any{itemID, matchID}, "is placed in another match"},
	} {
		var n int64
		if err := tx.Raw(q.text, q.args...).Scan(&n).Error; err != nil {
			return err
		}
		if n > 0 {
			return fmt.Errorf("block %s %s: %w", itemID, q.what, models.ErrConflict)
		}
	}
	return nil
}

// KeepMatch makes a match into packs: their items, each with the next serial of
// its letter and its blocks fitted in place. All or none; a block that is no
// longer loose is models.ErrConflict.
func (s *Store) KeepMatch(ctx context.Context, stamp models.Stamp, matchID string, year int, packs []models.NewPack) ([]models.Item, error) {
	items := make([]models.Item, len(packs))
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.openMatch(tx, matchID); err != nil {
			return err
		}
		end := models.MatchEnd{MatchID: matchID, Kept: true, EndedBy: stamp.By.String(), EndedAt: models.Moment(stamp.At)}
		for i, p := range packs {
			for _, part := range p.Parts {
				if part.PartID == nil {
					continue // a lot
				}
				if err := s.loose(tx, matchID, *part.PartID); err != nil {
					return err
				}
			}
			item := p.Item
			serial, err := s.nextSerial(tx, string(rune(ident.Pack)), year)
			if err != nil {
				return err
			}
			item.Serial, item.SerialTail = &serial, nil
			if err := addItem(tx, stamp, &item, p.Parts); err != nil {
				return err
			}
			items[i] = item
			end.Packs = append(end.Packs, item.ID)
		}
		if err := add(tx, &end); err != nil {
			return err
		}
		return enter(tx, stamp, end, "")
	})
	return items, fault(err, "keep match %s", matchID)
}

// DropMatch ends a match without packs: its blocks are free again.
func (s *Store) DropMatch(ctx context.Context, stamp models.Stamp, matchID, reason string) error {
	return fault(s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.openMatch(tx, matchID); err != nil {
			return err
		}
		end := models.MatchEnd{MatchID: matchID, Packs: []string{}, Reason: reason, EndedBy: stamp.By.String(), EndedAt: models.Moment(stamp.At)}
		if err := add(tx, &end); err != nil {
			return err
		}
		return enter(tx, stamp, end, "")
	}), "drop match %s", matchID)
}
