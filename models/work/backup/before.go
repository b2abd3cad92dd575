package backup

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// BeforeMigrating gives a backup of a database whose schema is about to change: the
// one from before that an upgrade which failed has left, where nothing was recorded
// since, or a new one. A server that is started again and again would otherwise fill
// the disk with them. It is written down at once where the older schema has a table for
// that; otherwise [Service.Noted] does, once there is one.
func (s *Service) BeforeMigrating(ctx context.Context) (models.BackupRun, error) {
	s.making.Lock()
	defer s.making.Unlock()
	if s.away(ctx) == Emptied {
		return models.BackupRun{}, &TroubleError{Emptied, errors.New("the folder is empty")}
	}
	if run, found := s.leftBefore(ctx); found {
		return run, nil
	}
	run, err := s.make(ctx, models.BackupBefore)
	if err != nil {
		return run, err
	}
	noted := run
	if noted.ID = models.NewID(); s.store.AddBackupRun(ctx, noted) != nil {
		return run, nil // There is no table yet.
	}
	if err := s.thin(ctx); err != nil {
		s.log.Warn("old backups could not be taken away", "cause", err)
	}
	return noted, nil
}

// leftBefore finds the backup of the database as it is that an upgrade which failed
// has left.
func (s *Service) leftBefore(ctx context.Context) (models.BackupRun, bool) {
	recipient, err := s.recipient(ctx)
	if err != nil {
		return models.BackupRun{}, false
	}
	run, err := s.place.Left(ctx, recipient)
	if err != nil || run.File == "" {
		return models.BackupRun{}, false
	}
	runs, err := s.own(ctx)
	if err != nil {
		return run, true // There is no table yet.
	}
	for i := range runs {
		if own := &runs[i]; own.File == run.File && own.SHA256 == run.SHA256 {
			return *own, true
		}
	}
	return models.BackupRun{}, false // Of a copy of this database, perhaps.
}

// Noted writes down what BeforeMigrating gave, where that could not be done then.
func (s *Service) Noted(ctx context.Context, run models.BackupRun) error {
	if run.ID != "" {
		return nil
	}
	if err := s.store.AddBackupRun(ctx, run); err != nil {
		return fmt.Errorf("write down the backup before the upgrade: %w", err)
	}
	return nil
}
