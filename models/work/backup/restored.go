package backup

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Restored makes a database that came out of a backup fit to go on: it writes
// that down, moves every counter of numbers on, and ends sessions.
func (s *Service) Restored(ctx context.Context, by models.Actor, r models.Restoration) (models.Restoration, error) {
	stamp := models.NewStamp(by, s.now())
	r.Forward = max(r.Forward, models.RestorationForward)
	r, err := s.store.AddRestoration(ctx, stamp, r, yearsSince(r.BackupAt, stamp.At))
	if err != nil {
		return r, fmt.Errorf("restored: %w", err)
	}
	return r, nil
}

// GiveLabel takes the last serial that was printed before the database was lost,
// as somebody reads it off the label: its counter goes on behind it. Each kind of
// serial has a counter of its own, so that several may be given.
func (s *Service) GiveLabel(ctx context.Context, by models.Actor, typed string) (models.RestoredLabel, error) {
	if err := CheckLabel(typed); err != nil {
		return models.RestoredLabel{}, err
	}
	serial, err := ident.Normalise(typed)
	if err != nil {
		return models.RestoredLabel{}, err
	}
	r, err := s.store.LastRestoration(ctx)
	if errors.Is(err, models.ErrNotFound) {
		return models.RestoredLabel{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("backup_never_restored")}}
	}
	if err != nil {
		return models.RestoredLabel{}, err
	}
	l, err := s.store.AddRestoredLabel(ctx, models.NewStamp(by, s.now()), models.RestoredLabel{RestorationID: r.ID, Serial: serial})
	if err != nil {
		return l, fmt.Errorf("give the last label: %w", err)
	}
	return l, nil
}

// CheckLabel says what is wrong with a serial as typed.
func CheckLabel(typed string) error {
	switch _, err := ident.Normalise(typed); {
	case errors.Is(err, ident.ErrCheck):
		return models.Invalid("serial", "serial_check", "serial", models.Shortened(typed))
	case err != nil:
		return models.Invalid("serial", "serial_form", "serial", models.Shortened(typed))
	}
	return nil
}

// ofLate is for how long after a restoration labels may turn up that nobody
// thought of. Until one was given it is asked for, however long ago that was.
const ofLate = 30 * 24 * time.Hour

// restored is a restoration of late, with the labels that were given for it.
func (s *Service) restored(ctx context.Context, now time.Time) (*models.Restoration, []models.RestoredLabel, error) {
	r, err := s.store.LastRestoration(ctx)
	if errors.Is(err, models.ErrNotFound) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	given, err := s.store.RestoredLabels(ctx, r.ID)
	if err != nil || len(given) > 0 && now.Sub(r.RestoredAt) > ofLate {
		return nil, nil, err
	}
	return &r, given, nil
}
