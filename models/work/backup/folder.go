package backup

import (
	"context"
	"errors"
	"path"
	"strings"
	"time"

	"tracewright/models"
)

// mostBefore is how many from before upgrades are kept.
const mostBefore = 3

// own are the good ones that this database wrote down since it was last put back,
// oldest first: what was written down before came with the backup, and may be the
// original's, which goes on beside this one.
func (s *Service) own(ctx context.Context) ([]models.BackupRun, error) {
	restored, err := s.restoredAt(ctx)
	if err != nil {
		return nil, err
	}
	return s.store.GoodBackups(ctx, restored, s.now())
}

// lastHere is the last good one whose file was made in the folder, of all or of those
// that this program made unasked; none: its File is empty.
func (s *Service) lastHere(ctx context.Context, unasked bool) (models.BackupRun, error) {
	runs, err := s.own(ctx)
	for i := len(runs) - 1; i >= 0; i-- {
		if r := &runs[i]; s.place.Lay(r.File) && (!unasked || r.Kind != models.BackupAsked) {
			return *r, err
		}
	}
	return models.BackupRun{}, err
}

// away is what is wrong with the folder: it is gone; or it is there and holds
// nothing of this database, although a good one was made in it. That is how the place
// where a disk is mounted looks without it: what is made there would lie on the disk
// that backups are to outlive, and nobody would know. Where another was made since,
// as by hand on a stick, says nothing of this folder.
func (s *Service) away(ctx context.Context) string {
	if s.place == nil {
		return ""
	}
	files, err := s.Files(ctx)
	if err != nil {
		return NoFolder
	}
	if len(files) > 0 || s.place.Clear() {
		return ""
	}
	// An older schema may know nothing of backups; what was put back since may be on
	// another machine, with a folder of its own.
	if last, err := s.lastHere(ctx, false); err != nil || last.File == "" {
		return ""
	}
	return Emptied
}

// Away says by a code what is wrong with the folder; empty: nothing.
func (s *Service) Away(ctx context.Context) string { return s.away(ctx) }

// LastHere is the last good one that this program made in its folder unasked, by which
// somebody may look whether it lies there still; what was asked for is for whoever
// asked to take away. None: its File is empty.
func (s *Service) LastHere(ctx context.Context) (models.BackupRun, error) {
	return s.lastHere(ctx, true)
}

// thin takes away what the rule does not keep of those that this database wrote down.
// What somebody asked for stays, and so does whatever else lies there: two shops may
// share a folder, and a copy that was put back may be served beside its original. What
// was written down before that goes once it is older than the rule keeps any: who was
// erased since is in it.
func (s *Service) thin(ctx context.Context) error {
	files, err := s.Files(ctx)
	if err != nil {
		return err
	}
	restored, err := s.restoredAt(ctx)
	if err != nil {
		return err
	}
	runs, err := s.store.GoodBackups(ctx, time.Time{}, s.now())
	if err != nil {
		return err
	}
	written := map[string]*models.BackupRun{}
	for i := range runs {
		written[path.Base(strings.ReplaceAll(runs[i].File, `\`, "/"))] = &runs[i]
	}
	oldest := s.now().AddDate(0, -Kept.Months, 0)
	var daily, before []File
	var moments []time.Time
	// A name may be some seconds ahead, where two were made in one.
	until := s.now().Add(time.Hour)
	for _, f := range files {
		run := written[f.Name]
		if run == nil || run.Size != f.Size {
			continue
		}
		if run.BegunAt.Before(restored) {
			if run.BegunAt.Before(oldest) && f.Kind != models.BackupAsked {
				err = errors.Join(err, s.place.Remove(ctx, f.Name))
			}
			continue
		}
		switch f.Kind {
		case models.BackupDaily:
			// Those that a wrong clock dated ahead stay beside the rule: among its newest
			// they would have those go that are made from now on.
			if f.At.After(until) {
				continue
			}
			daily, moments = append(daily, f), append(moments, f.At)
		case models.BackupBefore:
			before = append(before, f)
		}
	}
	for i, kept := range keep(moments, s.zone(ctx), Kept) {
		if !kept {
			err = errors.Join(err, s.place.Remove(ctx, daily[i].Name))
		}
	}
	for i := range len(before) - mostBefore {
		err = errors.Join(err, s.place.Remove(ctx, before[i].Name))
	}
	return err
}

// Files lists the backups of this database that lie in the folder, oldest first.
func (s *Service) Files(ctx context.Context) ([]File, error) {
	if s.place == nil {
		return nil, nil
	}
	files, err := s.place.List(ctx)
	if err != nil {
		return nil, err
	}
	var ours []File
	for _, f := range files {
		if !f.Another {
			ours = append(ours, f)
		}
	}
	return ours, nil
}
