package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// AddBackupRun writes down a try to make a backup.
func (s *Store) AddBackupRun(ctx context.Context, run models.BackupRun) error {
	run.ID = orNewID(run.ID)
	run.BegunAt, run.EndedAt = models.Moment(run.BegunAt), models.Moment(run.EndedAt)
	return fault(add(s.write.WithContext(ctx), &run), "write down a backup")
}

// LastBackup is the last try that is not dated after a moment, as by a clock that
// was wrong; models.ErrNotFound before the first.
func (s *Store) LastBackup(ctx context.Context, until time.Time) (models.BackupRun, error) {
	return lastBackup(ctx, s, "begun_at <= ?", until)
}

// LastGoodBackup is the last that was made.
func (s *Store) LastGoodBackup(ctx context.Context, until time.Time) (models.BackupRun, error) {
	return lastBackup(ctx, s, "trouble = '' AND begun_at <= ?", until)
}

// GoodBackups lists those that were made from one moment to another, oldest first.
func (s *Store) GoodBackups(ctx context.Context, from, until time.Time) ([]models.BackupRun, error) {
	runs := []models.BackupRun{}
	err := s.read.WithContext(ctx).Where("trouble = '' AND begun_at BETWEEN ? AND ?", models.Moment(from), models.Moment(until)).Order("begun_at").Find(&runs).Error
	return runs, fault(err, "list backups")
}

func lastBackup(ctx context.Context, s *Store, where string, until time.Time) (models.BackupRun, error) {
	var run models.BackupRun
	err := s.read.WithContext(ctx).Where(where, models.Moment(until)).Order("begun_at DESC").Limit(1).Take(&run).Error
	return run, fault(err, "find the last backup")
}

// yearCounters are the tables of numbers that go on paper, counted by year;
// serials have one of their own.
var yearCounters = []string{"certificate_counters", "shipment_counters", "recall_counters", "claim_counters", "nonconformity_counters", "corrective_action_counters"}

// serialLetters are the kinds that are counted.
var serialLetters = []ident.Kind{ident.Wheel, ident.Pack, ident.Kit, ident.Block}

// AddRestoration writes down that this database came out of a backup, and makes
// it fit to go on: every counter is moved on by r.Forward, those too of the years
// given that have none yet, since a year may have begun after the backup; sessions
// and links that let somebody in once end.
func (s *Store) AddRestoration(ctx context.Context, stamp models.Stamp, r models.Restoration, years2 []int) (models.Restoration, error) {
	r.ID, r.RestoredAt, r.RestoredBy = orNewID(r.ID), settled(r.RestoredAt, stamp), orActor(r.RestoredBy, stamp)
	r.BackupAt = models.Moment(r.BackupAt)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		for _, table := range yearCounters {
			if err := tx.Exec("UPDATE "+table+" SET last = last + ?", r.Forward).Error; err != nil {
				return err
			}
			for _, year := range years2 {
				if err := tx.Exec("INSERT INTO "+table+" (year, last) VALUES (?, ?) ON CONFLICT (year) DO NOTHING", year, r.Forward).Error; err != nil {
					return err
				}
			}
		}
		if err := tx.Model(&models.SerialCounter{}).Where(everything).Update("last", gorm.Expr("last + ?", r.Forward)).Error; err != nil {
			return err
		}
		for _, letter := range serialLetters {
			for _, year := range years2 {
				first := models.SerialCounter{Letter: string(rune(letter)), Year: year, Last: r.Forward}
				if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&first).Error; err != nil {
					return err
				}
			}
		}
		// The turns of tablets went on after the backup: they begin anew.
		for _, ended := range []any{&models.Session{}, &models.OneTimeLink{}, &models.DeviceUse{}} {
			if err := tx.Where(everything).Delete(ended).Error; err != nil {
				return err
			}
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		return enter(tx, stamp, r, "")
	})
	return r, fault(err, "write down the restoration")
}

// AddRestoredLabel writes down the last serial that was printed before the
// database was lost, and has its counter go on behind it.
func (s *Store) AddRestoredLabel(ctx context.Context, stamp models.Stamp, l models.RestoredLabel) (models.RestoredLabel, error) {
	l.ID, l.GivenAt, l.GivenBy = orNewID(l.ID), settled(l.GivenAt, stamp), orActor(l.GivenBy, stamp)
	kind, year, counter, err := ident.Parts(l.Serial)
	if err != nil {
		return l, fmt.Errorf("last label: %w", err)
	}
	err = s.changing(ctx, func(tx *gorm.DB) error {
		last, err := s.counter(tx, string(rune(kind)), year)
		if err == nil && counter > last {
			err = setCounter(tx, string(rune(kind)), year, counter)
		}
		if err != nil {
			return err
		}
		if err := add(tx, &l); err != nil {
			return err
		}
		return enter(tx, stamp, l, "")
	})
	return l, fault(err, "write down the last label")
}

// LastRestoration is the last; models.ErrNotFound where there was none.
func (s *Store) LastRestoration(ctx context.Context) (models.Restoration, error) {
	var r models.Restoration
	err := s.read.WithContext(ctx).Order("restored_at DESC").Limit(1).Take(&r).Error
	return r, fault(err, "find the last restoration")
}

// RestoredLabels lists the labels given for a restoration, oldest first.
func (s *Store) RestoredLabels(ctx context.Context, restorationID string) ([]models.RestoredLabel, error) {
	return list[models.RestoredLabel](ctx, s, "list labels of a restoration", "id", "restoration_id = ?", restorationID)
}

// DevicesEnrolled counts the devices whose key opens something.
func (s *Store) DevicesEnrolled(ctx context.Context) (int, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.Device{}).Where("revoked_at IS NULL").Count(&n).Error
	return int(n), fault(err, "count devices")
}

// RevokeDevices revokes every device that is enrolled and gives their number.
func (s *Store) RevokeDevices(ctx context.Context, stamp models.Stamp) (int, error) {
	var ids []string
	err := s.read.WithContext(ctx).Model(&models.Device{}).Where("revoked_at IS NULL").Pluck("id", &ids).Error
	for _, id := range ids {
		if err == nil {
			err = s.RevokeDevice(ctx, stamp, id)
		}
	}
	return len(ids), fault(err, "revoke all devices")
}
