package backup

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"tracewright/models"
)

// Codes of what is wrong with backups; the words are in the catalogue.
const (
	NoFolder   = "no_folder"    // the folder is gone, or cannot be written
	Emptied    = "emptied"      // the folder holds none any more: perhaps its disk is not there
	DiskFull   = "disk_full"    // that of the folder
	NoRoom     = "no_room"      // beside the database, for the copy on the way
	Damaged    = "damaged"      // the database's own pages contradict one another
	NoTool     = "no_tool"      // pg_dump is missing
	NoKeys     = "no_keys"      // in the folder of the server's keys lies none of the log
	NoKey      = "no_key"       // a folder elsewhere takes encrypted ones alone
	Failed     = "failed"       // anything else: the log has it
	ByHand     = "by_hand"      // one that was asked for, elsewhere than this program's lie
	TooOld     = "too_old"      // the last good one is
	NotSealed  = "not_sealed"   // they are made, and lie in the clear beside the database
	LabelAsked = "label_wanted" // after a restoration the last printed label was not given
)

// TroubleError says by a code why a backup was not made.
type TroubleError struct {
	Code  string
	Cause error
}

func (e *TroubleError) Error() string { return fmt.Sprintf("%s: %v", e.Code, e.Cause) }

func (e *TroubleError) Unwrap() error { return e.Cause }

// Store is what is remembered of backups.
type Store interface {
	Setting(ctx context.Context, name string) (string, error)
	ReplaceSetting(ctx context.Context, stamp models.Stamp, name, before, value string) error
	AddBackupRun(ctx context.Context, run models.BackupRun) error
	// LastBackup and LastGoodBackup leave out what is dated after a moment, as
	// by a clock that was wrong. models.ErrNotFound before the first.
	LastBackup(ctx context.Context, until time.Time) (models.BackupRun, error)
	LastGoodBackup(ctx context.Context, until time.Time) (models.BackupRun, error)
	// GoodBackups lists those that were made from one moment to another, oldest first.
	GoodBackups(ctx context.Context, from, until time.Time) ([]models.BackupRun, error)
	AddRestoration(ctx context.Context, stamp models.Stamp, r models.Restoration, years2 []int) (models.Restoration, error)
	LastRestoration(ctx context.Context) (models.Restoration, error)
	AddRestoredLabel(ctx context.Context, stamp models.Stamp, l models.RestoredLabel) (models.RestoredLabel, error)
	RestoredLabels(ctx context.Context, restorationID string) ([]models.RestoredLabel, error)
}

// File is a backup that lies somewhere.
type File struct {
	Name string
	Kind string
	At   time.Time
	Size int64
	// Clear says that no key is needed, and Key is the public half of the one that
	// opens it; neither where its beginning cannot be read.
	Clear bool
	Key   string
	// Another says that it is of another database, as its beginning tells.
	Another bool
}

// Place makes backups and holds them.
type Place interface {
	// Make makes one of the database as it is now, whole and checked, or none at
	// all: then the error is a [TroubleError] where the cause is known. To no
	// recipient it makes one in the clear.
	Make(ctx context.Context, kind, recipient string) (models.BackupRun, error)
	// List lists those that lie there, oldest first. It fails where the folder is
	// gone.
	List(ctx context.Context) ([]File, error)
	// Lay says whether a file, as a run names it, was made there.
	Lay(file string) bool
	Remove(ctx context.Context, name string) error
	// Left is the newest from before an upgrade that holds the database as it is, whole
	// and to that recipient; none: its File is empty.
	Left(ctx context.Context, recipient string) (models.BackupRun, error)
	// Clear says whether one in the clear may lie there: the place is as well kept
	// as the database.
	Clear() bool
	Path() string
}

// Service makes backups. Without a place it only tells of them.
type Service struct {
	store Store
	place Place
	now   func() time.Time
	zone  func(context.Context) *time.Location
	alone func(context.Context) (release func(), alone bool, err error)
	keys  Keys // nil where no recovery keys are made
	log   *slog.Logger

	making sync.Mutex // one at a time

	mu      sync.Mutex
	gone    string           // NoFolder or Emptied, as the folder was at the last look
	unnoted models.BackupRun // the last try, where the database did not take it
}

// Options are what a service works with.
type Options struct {
	Place Place // nil: this program makes none by itself
	Now   func() time.Time
	Zone  func(context.Context) *time.Location
	// Alone holds off other servers on the same database while one looks whether a
	// backup is due and makes it; nil: there are none.
	Alone func(context.Context) (release func(), alone bool, err error)
	Keys  Keys         // nil: no recovery keys are made here
	Log   *slog.Logger // nil: nowhere
}

// New makes the service.
func New(store Store, o Options) *Service {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Alone == nil {
		o.Alone = func(context.Context) (func(), bool, error) { return func() {}, true, nil }
	}
	return &Service{store: store, place: o.Place, now: o.Now, zone: o.Zone, alone: o.Alone, keys: o.Keys, log: o.Log}
}

const (
	// firstLook leaves a start its time.
	firstLook = 2 * time.Minute
	lookEvery = 10 * time.Minute
)

// Run makes backups day by day until ctx ends.
func (s *Service) Run(ctx context.Context) {
	if s.place == nil {
		return
	}
	first := firstLook
	if s.anew(ctx) {
		first = 0
	}
	next := time.NewTimer(first)
	defer next.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-next.C:
		}
		s.Look(ctx)
		next.Reset(lookEvery)
	}
}

// anew says whether what was put back has no backup yet: then nothing of what is done
// from now on lies anywhere else, and the first is made at once.
func (s *Service) anew(ctx context.Context) bool {
	good, _, err := s.last(ctx, s.now())
	restored, errRestored := s.restoredAt(ctx)
	return err == nil && errRestored == nil && good.BegunAt.Before(restored)
}

// Look is one look of Run: a backup is made where one is due, and what the rule
// does not keep goes.
func (s *Service) Look(ctx context.Context) {
	now := s.now()
	good, tried, err := s.last(ctx, now)
	gone := s.away(ctx)
	s.mu.Lock()
	s.gone = gone
	s.mu.Unlock()
	if err != nil {
		s.log.Warn("cannot tell when the last backup was made", "cause", err)
		return
	}
	release, alone, err := s.alone(ctx)
	if err != nil && ctx.Err() == nil {
		s.log.Warn("cannot tell whether another server makes the backup", "cause", err)
	}
	if err != nil || !alone {
		return
	}
	defer release()
	// Another server may have made it meanwhile.
	good, tried, err = s.last(ctx, now)
	restored, errRestored := s.restoredAt(ctx)
	if err = errors.Join(err, errRestored); err != nil {
		s.log.Warn("cannot tell when the last backup was made", "cause", err)
		return
	}
	if gone == Emptied || !due(now, good.BegunAt, tried.BegunAt, restored, s.zone(ctx)) {
		return
	}
	run, err := s.Make(ctx, models.BackupDaily)
	switch {
	case ctx.Err() != nil:
		return
	case err != nil:
		s.log.Error("no backup was made; it is tried again in an hour", "folder", s.place.Path(), "cause", err)
		return
	}
	s.log.Info("backup made and checked", "file", run.File, "bytes", run.Size, "encrypted", run.Sealed)
	if err := s.thin(ctx); err != nil {
		s.log.Warn("old backups could not be taken away", "cause", err)
	}
}

// last finds the last good one and the last try, zero before the first.
func (s *Service) last(ctx context.Context, now time.Time) (good, tried models.BackupRun, err error) {
	good, err = s.store.LastGoodBackup(ctx, now)
	if err == nil || errors.Is(err, models.ErrNotFound) {
		tried, err = s.store.LastBackup(ctx, now)
	}
	if errors.Is(err, models.ErrNotFound) {
		err = nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if u := s.unnoted; u.BegunAt.After(tried.BegunAt) && !u.BegunAt.After(now) {
		if tried = u; u.Trouble == "" {
			good = u
		}
	}
	return good, tried, err
}

// restoredAt is since when this database writes down backups of its own: when it was last
// put back; zero: never. Where a clock that was wrong dated that ahead, it is when the
// backup was made, after which whatever is written down is of this database.
func (s *Service) restoredAt(ctx context.Context) (time.Time, error) {
	r, err := s.store.LastRestoration(ctx)
	if errors.Is(err, models.ErrNotFound) {
		err = nil
	}
	now := s.now()
	switch {
	case !r.RestoredAt.After(now):
		return r.RestoredAt, err
	case !r.BackupAt.After(now):
		return r.BackupAt.Add(time.Millisecond), err
	}
	return time.Time{}, err
}

// Make makes a backup now and writes down how it went. One that could not be
// made is a [TroubleError].
func (s *Service) Make(ctx context.Context, kind string) (models.BackupRun, error) {
	s.making.Lock()
	defer s.making.Unlock()
	run, err := s.make(ctx, kind)
	if ctx.Err() != nil {
		return run, fmt.Errorf("make a backup: %w", err) // The program ends: nothing went wrong.
	}
	noted := s.store.AddBackupRun(ctx, run)
	if noted != nil && err == nil {
		// The file is there; that nobody can tell is another matter.
		s.log.Warn("a backup was made and could not be written down", "file", run.File, "cause", noted)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	// A disk that is full takes neither the backup nor the word that there is none.
	if s.unnoted = (models.BackupRun{}); noted != nil {
		s.unnoted = run
	}
	return run, err
}

func (s *Service) make(ctx context.Context, kind string) (models.BackupRun, error) {
	begun := s.now()
	recipient, err := s.recipient(ctx)
	var run models.BackupRun
	switch {
	case err != nil:
	case recipient == "" && !s.place.Clear():
		err = &TroubleError{NoKey, errors.New("there is no recovery key, and the folder is elsewhere than the database")}
	default:
		run, err = s.place.Make(ctx, kind, recipient)
	}
	if err != nil {
		var trouble *TroubleError
		if !errors.As(err, &trouble) {
			trouble = &TroubleError{Failed, err}
		}
		return models.BackupRun{Kind: kind, BegunAt: begun, EndedAt: s.now(), Trouble: trouble.Code}, trouble
	}
	run.Kind, run.EndedAt = kind, s.now()
	if run.BegunAt.IsZero() {
		run.BegunAt = begun
	}
	return run, nil
}
