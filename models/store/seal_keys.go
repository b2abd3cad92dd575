package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trail"
)

// ServerKeys lists every public key, those that left too, oldest first.
func (s *Store) ServerKeys(ctx context.Context) ([]models.ServerKey, error) {
	keys, err := serverKeys(s.read.WithContext(ctx))
	return keys, fault(err, "list the servers' keys")
}

func serverKeys(db *gorm.DB) ([]models.ServerKey, error) {
	var keys []models.ServerKey
	err := db.Table("server_keys AS k").Joins("JOIN trail_entries AS t ON t.id = k.entry_id").
		Select("k.*, t.seq IS NOT NULL AS sealed").Order("k.enrolled_at, k.id").Scan(&keys).Error
	return keys, err
}

// EnrolKey adds a key that an older one vouches for, or, where the older ones
// are lost, nobody: its entry says which. A key that is there already is
// models.ErrConflict.
func (s *Store) EnrolKey(ctx context.Context, stamp models.Stamp, key models.ServerKey, says trail.Enrolment) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		entry, err := models.AboutLog(stamp, trail.KindKeyEnrolled, key.ID, says)
		if err != nil {
			return err
		}
		if err := add(tx, &entry); err != nil {
			return err
		}
		key.EntryID, key.EnrolledAt = entry.ID, entry.At
		return add(tx, &key)
	})
	return fault(err, "enrol key %s", key.ID)
}

// RetireKey ends a key: it signs nothing from its entry on.
func (s *Store) RetireKey(ctx context.Context, stamp models.Stamp, id string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		entry, err := models.AboutLog(stamp, trail.KindKeyRetired, id, trail.Retirement{Key: id})
		if err != nil {
			return err
		}
		done := tx.Model(&models.ServerKey{}).Where("id = ? AND retired_at IS NULL", id).Update("retired_at", entry.At)
		if err := changedOne(done, "a key that signs"); err != nil {
			return err
		}
		return add(tx, &entry)
	})
	return fault(err, "retire key %s", id)
}

// AddCheckpoint lets sign make a checkpoint of the chain as it stands, and keeps
// it. Nothing is sealed meanwhile, so that no key is retired between.
func (s *Store) AddCheckpoint(ctx context.Context, sign func(models.TrailHead, []models.ServerKey) (models.Checkpoint, error)) (models.Checkpoint, error) {
	var made models.Checkpoint
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		var (
			head     models.TrailHead
			frontier string
		)
		err := firstRow(tx.Raw(trailHead+s.forUpdate()), &head.Log, &head.Size, &head.Hash, &frontier, &head.SealedAt)
		if err == nil {
			head.Frontier, err = frontierOf(frontier)
		}
		if err != nil {
			return err
		}
		keys, err := serverKeys(tx)
		if err != nil {
			return err
		}
		if made, err = sign(head, keys); err != nil {
			return err
		}
		return add(tx, &made)
	})
	return made, fault(err, "write a checkpoint")
}

// NewestCheckpoint is the one that covers most; models.ErrNotFound when there is
// none. The order is that of the key, backwards: it is asked for before each
// certificate, and must not read more the more of them there are.
func (s *Store) NewestCheckpoint(ctx context.Context) (models.Checkpoint, error) {
	var c models.Checkpoint
	err := s.read.WithContext(ctx).Order("size DESC, key_id DESC").Take(&c).Error
	return c, fault(err, "find the newest checkpoint")
}

// CheckpointsBy lists those of a key that cover more than a size, from there on,
// at most limit.
func (s *Store) CheckpointsBy(ctx context.Context, keyID string, above int64, limit int) ([]models.Checkpoint, error) {
	var list []models.Checkpoint
	err := s.read.WithContext(ctx).Where("key_id = ? AND size > ?", keyID, above).Order("size").Limit(limit).Find(&list).Error
	return list, fault(err, "list checkpoints")
}

// Checkpoints lists them, newest first, at most limit, below a size where it is
// not zero.
func (s *Store) Checkpoints(ctx context.Context, below int64, limit int) ([]models.Checkpoint, error) {
	query := s.read.WithContext(ctx).Order("size DESC, key_id DESC").Limit(limit)
	if below > 0 {
		query = query.Where("size < ?", below)
	}
	var list []models.Checkpoint
	err := query.Find(&list).Error
	return list, fault(err, "list checkpoints")
}

// CheckpointsAbove lists those that cover more than a size, in order; of one size
// all, so that the list may be longer than limit by the servers there are.
func (s *Store) CheckpointsAbove(ctx context.Context, size int64, limit int) ([]models.Checkpoint, error) {
	last := s.read.Model(&models.Checkpoint{}).Select("size").Where("size > ?", size).Order("size").Limit(limit)
	var list []models.Checkpoint
	err := s.read.WithContext(ctx).Where("size > ? AND size <= (SELECT max(size) FROM (?) AS next)", size, last).Order("size, key_id").Find(&list).Error
	return list, fault(err, "list checkpoints")
}

// Unsealed says whether an entry waits to be sealed.
func (s *Store) Unsealed(ctx context.Context) (bool, error) {
	waits := false
	err := s.ask(ctx, question{"SELECT 1 FROM trail_entries WHERE seq IS NULL LIMIT 1", nil, func(scan func(...any) error) error {
		waits = true
		var one int
		return scan(&one)
	}})
	return waits, fault(err, "look for entries that wait to be sealed")
}
