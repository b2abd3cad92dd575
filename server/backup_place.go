package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/words"
	"tracewright/models/work/backup"
	"tracewright/server/backups"
)

// backupsFlag says where backups lie.
type backupsFlag struct {
	Backups string `help:"Folder for backups, best on a disk of its own; it has to be there. By default a folder beside the SQLite file, or beside the folder of keys." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_BACKUPS"`
}

// folder is where backups lie, and whether one in the clear may lie there. It is
// empty where nobody can tell: with PostgreSQL and no folder of keys.
func (f backupsFlag) folder(database, keys string) (path string, own bool) {
	if f.Backups != "" {
		return f.Backups, false
	}
	if folder := beside(database, ".backups"); folder != "" {
		return folder, true
	}
	if keys != "" {
		return filepath.Join(filepath.Dir(filepath.Clean(keys)), "backups"), true
	}
	return "", false
}

// backupPlace makes backups of a database into a folder.
type backupPlace struct {
	store     *store.Store
	folder    string
	database  string // SQLite's file; empty with PostgreSQL
	beside    bool   // the folder is this program's own, beside the database
	file      string // where the backup goes instead of into the folder; empty: into the folder
	temporary string // folder for copies on the way, as well kept as the database
	keys, tls string // folders
	now       func() time.Time
}

// placeFor is where backups of a database go; nil where no folder is named and
// none follows from the others.
func (f backupsFlag) placeFor(s *store.Store, database, keys, tls string) *backupPlace {
	folder, own := f.folder(database, keys)
	if folder == "" {
		return nil
	}
	if whole, err := filepath.Abs(folder); err == nil { // A run names its file for whoever looks from elsewhere.
		folder = whole
	}
	p := &backupPlace{store: s, folder: folder, beside: own, temporary: os.TempDir(), keys: keys, tls: tls, now: time.Now}
	if file, isFile := sqliteFile(database); isFile {
		p.database, p.temporary = file, filepath.Dir(behindLink(file))
		p.keys, p.tls = cmp.Or(p.keys, beside(database, ".keys")), cmp.Or(p.tls, beside(database, ".tls"))
	}
	return p
}

// Path implements backup.Place.
func (p *backupPlace) Path() string { return p.folder }

// Lay implements backup.Place.
func (p *backupPlace) Lay(file string) bool { return file != "" && filepath.Dir(file) == p.folder }

// Clear implements backup.Place.
func (p *backupPlace) Clear() bool { return p.beside && p.file == "" }

// List implements backup.Place.
func (p *backupPlace) List(ctx context.Context) ([]backup.File, error) {
	kept, err := backups.List(p.folder)
	if errors.Is(err, fs.ErrNotExist) && p.beside { // It is made with the first.
		return nil, nil
	}
	if err != nil || len(kept) == 0 {
		return nil, err
	}
	of, asked := p.store.Facts(ctx)
	files := make([]backup.File, len(kept))
	for i, k := range kept {
		files[i] = backup.File{Name: k.Name, Kind: k.Kind, At: k.At, Size: k.Size}
		if h, err := backups.Peek(filepath.Join(p.folder, k.Name)); err == nil {
			files[i].Clear, files[i].Key = !h.Sealed(), h.Recipient
			files[i].Another = asked == nil && h.Log != "" && h.Log != of.Log
		}
	}
	return files, nil
}

// Remove implements backup.Place.
func (p *backupPlace) Remove(_ context.Context, name string) error {
	return backups.Remove(p.folder, name)
}

// temporaryCopy is the pattern of folders in which a copy lies on the way.
const temporaryCopy = ".tracewright-copy-*"

// Make implements backup.Place.
func (p *backupPlace) Make(ctx context.Context, kind, recipient string) (models.BackupRun, error) {
	run, err := p.make(ctx, kind, recipient)
	return run, troubled(err)
}

func (p *backupPlace) make(ctx context.Context, kind, recipient string) (models.BackupRun, error) {
	var none models.BackupRun
	to := filepath.Dir(p.file)
	if p.file == "" {
		to = p.folder
		if p.beside {
			if err := os.MkdirAll(to, 0o700); err != nil {
				return none, &backup.TroubleError{Code: backup.NoFolder, Cause: err}
			}
		}
	}
	// A folder that is named and not there is a disk that is not plugged in: made
	// anew it would lie on the disk that the backup is to outlive.
	if err := writable(to); err != nil {
		return none, err
	}
	swept := errors.Join(backups.Sweep(to, backups.Partial(), p.now()), backups.Sweep(p.temporary, temporaryCopy, p.now()), backups.Sweep(p.temporary, openedCopy, p.now()))
	if swept != nil {
		return none, swept
	}
	if err := p.room(); err != nil {
		return none, err
	}
	if err := p.keysOfLog(ctx, recipient != ""); err != nil {
		return none, err
	}
	temporary, err := os.MkdirTemp(p.temporary, temporaryCopy) // made with mode 0700
	if err != nil {
		return none, besideDatabase(err)
	}
	defer os.RemoveAll(temporary)
	snapshot, err := p.store.Snapshot(ctx, temporary)
	if err != nil {
		return none, besideDatabase(err)
	}
	parts, err := p.parts(snapshot, recipient != "")
	if err == nil {
		header := backups.Header{Program: version(), Schema: snapshot.Facts.Schema, Database: snapshot.Facts.Dialect, Log: snapshot.Facts.Log, Changes: snapshot.Facts.Changes,
			At: snapshot.At, Recipient: recipient}
		var written backups.Written
		if written, err = backups.Write(ctx, p.path(kind, snapshot.At), header, parts); err == nil {
			none = models.BackupRun{BegunAt: snapshot.At, File: written.Path, Size: written.Size, SHA256: written.SHA256, Sealed: recipient != ""}
		}
	}
	return none, errors.Join(err, snapshot.Close())
}

// keysOfLog refuses a backup without the keys of its log: put back, nobody could verify
// the log by what came with it, nor sign what is to follow.
func (p *backupPlace) keysOfLog(ctx context.Context, sealed bool) error {
	of, err := p.store.Facts(ctx)
	if err != nil || of.Log == "" { // It has not begun.
		return err
	}
	known, err := p.store.ServerKeys(ctx)
	if err != nil {
		return err
	}
	end := ".pub"
	if sealed {
		end = ".key"
	}
	for _, key := range known {
		if p.keys == "" || key.RetiredAt != nil { // What it signs from now on counts for nothing.
			continue
		}
		if _, err := os.Stat(filepath.Join(p.keys, key.ID+end)); !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	cause := errors.New("no folder of keys is named")
	if p.keys != "" {
		cause = fmt.Errorf("in %s lies no key by which the log goes on", p.keys)
	}
	return &backup.TroubleError{Code: backup.NoKeys, Cause: cause}
}

// room looks whether the copy of a SQLite file fits beside it. Where it does not, it
// would for a while take from those who record what is left of their disk.
func (p *backupPlace) room() error {
	if p.database == "" {
		return nil
	}
	size, err := store.SizeOf(p.database)
	if err != nil {
		return err
	}
	free, _, err := freeIn(p.temporary)
	if errors.Is(err, errors.ErrUnsupported) {
		return nil
	}
	if err == nil && free < uint64(size)+backups.LeftFree {
		err = &backup.TroubleError{Code: backup.NoRoom, Cause: fmt.Errorf("%s are free beside the database, and its copy takes %s", words.Bytes(int64(free)), words.Bytes(size))}
	}
	return err
}

// besideDatabase gives a disk that is full there its own code.
func besideDatabase(err error) error {
	if errors.Is(err, store.ErrFull) || full(err) {
		return &backup.TroubleError{Code: backup.NoRoom, Cause: err}
	}
	return err
}

// path is the name of a backup that is not there yet.
func (p *backupPlace) path(kind string, at time.Time) string {
	if p.file != "" {
		return p.file
	}
	for ; ; at = at.Add(time.Second) {
		path := filepath.Join(p.folder, backups.Name(kind, at))
		if _, err := os.Lstat(path); err != nil {
			return path
		}
	}
}

// parts are the database and the folders beside it. Private keys go into
// encrypted backups alone.
func (p *backupPlace) parts(snapshot models.Snapshot, sealed bool) ([]backups.Part, error) {
	parts := []backups.Part{{Name: "database." + snapshot.Name, Size: snapshot.Size, Open: snapshot.Open}}
	ends := []string{".pub", "log"}
	if sealed {
		ends = append(ends, ".key")
	}
	keys, err := backups.FolderParts("keys", p.keys, ends...)
	if err != nil || !sealed || p.tls == "" {
		return append(parts, keys...), err
	}
	tls, err := backups.FolderParts("tls", p.tls, ".pem", ".key", ".crt")
	return append(append(parts, keys...), tls...), err
}

// writable looks whether a file can be made in a folder.
func writable(folder string) error {
	probe, err := os.CreateTemp(folder, ".backup-*.part")
	if err != nil {
		if full(err) {
			return err
		}
		return &backup.TroubleError{Code: backup.NoFolder, Cause: err}
	}
	return errors.Join(probe.Close(), os.Remove(probe.Name()))
}

// troubled gives the code of a known trouble.
func troubled(err error) error {
	var known *backup.TroubleError
	switch {
	case err == nil || errors.As(err, &known):
		return err
	case errors.Is(err, store.ErrFull) || full(err):
		return &backup.TroubleError{Code: backup.DiskFull, Cause: err}
	case errors.Is(err, store.ErrDamaged):
		return &backup.TroubleError{Code: backup.Damaged, Cause: err}
	case errors.Is(err, store.ErrNoTool):
		return &backup.TroubleError{Code: backup.NoTool, Cause: err}
	}
	return fmt.Errorf("backup: %w", err)
}
