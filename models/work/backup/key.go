package backup

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// Keys makes recovery keys.
type Keys interface {
	// New draws one, as it is printed; nothing of it is kept.
	New() (models.RecoverySheet, error)
	// Is says whether a text is the public half of one.
	Is(public string) bool
}

// ErrNoKeys says that no such key can be used here.
var ErrNoKeys = errors.New("no such recovery key can be used here")

// MakesKeys says whether recovery keys are made here.
func (s *Service) MakesKeys() bool { return s.keys != nil }

// DrawKey draws a recovery key to be printed. Nothing is encrypted to it before
// [Service.UseKey] is told that it was, and nobody can ask for it again.
func (s *Service) DrawKey(ctx context.Context) (models.RecoverySheet, error) {
	var none models.RecoverySheet
	if s.keys == nil {
		return none, ErrNoKeys
	}
	shop, err := s.store.Setting(ctx, models.SettingShopName)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return none, fmt.Errorf("name the shop: %w", err)
	}
	key, err := s.keys.New()
	if err != nil {
		return none, fmt.Errorf("draw a recovery key: %w", err)
	}
	key.Shop, key.Made = shop, s.now().In(s.zone(ctx)).Format(time.DateOnly)
	return key, nil
}

// UseKey has backups encrypted to a recovery key from now on, in place of the one that
// whoever asks knows of (empty: none); what was made before still wants the key of its
// time. Where another was taken meanwhile it is models.ErrConflict.
func (s *Service) UseKey(ctx context.Context, by models.Actor, before, public string) error {
	if s.keys != nil && !s.keys.Is(public) {
		return ErrNoKeys
	}
	if err := s.store.ReplaceSetting(ctx, models.NewStamp(by, s.now()), models.SettingBackupKey, before, public); err != nil {
		return fmt.Errorf("set the recovery key: %w", err)
	}
	return nil
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
