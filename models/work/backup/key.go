package backup

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// ErrNoKeys says that this program makes no recovery keys.
var ErrNoKeys = errors.New("no recovery keys are made here")

// MakesKeys says whether recovery keys are made here.
func (s *Service) MakesKeys() bool { return s.newKey != nil }

// MakeKey makes a recovery key in place of the one whose public half is named (empty:
// there is none), has backups encrypted to it from now on, and gives it out: only its
// public half is kept. Where another was made meanwhile it is models.ErrConflict.
func (s *Service) MakeKey(ctx context.Context, by models.Actor, before string) (models.RecoverySheet, error) {
	var none models.RecoverySheet
	if s.newKey == nil {
		return none, ErrNoKeys
	}
	now, err := s.recipient(ctx)
	if err != nil {
		return none, fmt.Errorf("look for the recovery key: %w", err)
	}
	if now != before {
		return none, fmt.Errorf("another recovery key was made: %w", models.ErrConflict)
	}
	shop, err := s.store.Setting(ctx, models.SettingShopName)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return none, fmt.Errorf("name the shop: %w", err)
	}
	key, err := s.newKey()
	if err != nil {
		return none, err
	}
	key.Shop, key.Made = shop, s.now().In(s.zone(ctx)).Format(time.DateOnly)
	return key, s.UseKey(ctx, by, key.Public)
}

// PublicKey is the public half of the recovery key; empty where there is none.
func (s *Service) PublicKey(ctx context.Context) (string, error) { return s.recipient(ctx) }

// recipient is the public half of the recovery key; empty where there is none.
func (s *Service) recipient(ctx context.Context) (string, error) {
	recipient, err := s.store.Setting(ctx, models.SettingBackupKey)
	if errors.Is(err, models.ErrNotFound) {
		return "", nil
	}
	return recipient, err
}

// UseKey has backups encrypted to a recovery key from now on; what was made
// before still wants the key of its time.
func (s *Service) UseKey(ctx context.Context, by models.Actor, recipient string) error {
	if err := s.store.SetSetting(ctx, models.NewStamp(by, s.now()), models.SettingBackupKey, recipient); err != nil {
		return fmt.Errorf("set the recovery key: %w", err)
	}
	return nil
}

// HasKey says whether backups are encrypted.
func (s *Service) HasKey(ctx context.Context) (bool, error) {
	recipient, err := s.recipient(ctx)
	return recipient != "", err
}
