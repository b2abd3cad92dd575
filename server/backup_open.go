package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/trail"
	"tracewright/models/work/verify"
	"tracewright/server/backups"
)

// lines are what somebody types.
type lines struct {
	ended <-chan struct{}
	in    io.Reader
	begun sync.Once
	typed chan string
}

// linesOf are the lines that are asked for. Before the first is, nothing is read: it may
// be another program's.
func linesOf(ctx context.Context, std streams) *lines {
	return &lines{ended: ctx.Done(), in: std.in, typed: make(chan string)}
}

// read reads on beside whoever waits for a line, so that a program that is told to stop
// meanwhile puts away what lies open.
func (l *lines) read() {
	defer close(l.typed)
	for in := bufio.NewScanner(l.in); in.Scan(); {
		select {
		case l.typed <- strings.TrimSpace(in.Text()):
		case <-l.ended:
			return
		}
	}
}

// next is the next line; no more at the end.
func (l *lines) next() (line string, more bool) {
	l.begun.Do(func() { go l.read() })
	select {
	case line, more = <-l.typed:
	case <-l.ended:
	}
	return line, more
}

// unpacked is a backup that lies open in a folder.
type unpacked struct {
	file   string
	folder string // mode 0700
	backups.Extracted
}

// openedCopy is the pattern of folders in which a backup lies open.
const openedCopy = ".tracewright-open-*"

// unpack opens a backup into a new folder below another. What is wrong with it is
// refused by a sentence of its own, and nothing is left.
func (r recoveryFlag) unpack(ctx context.Context, file, below string, in *lines, std streams) (_ *unpacked, err error) {
	header, err := peek(ctx, file)
	if err != nil {
		return nil, err
	}
	var key *backups.Recovery
	if header.Sealed() {
		k, err := r.key(in, std)
		if err != nil {
			return nil, err
		}
		key = &k
	}
	// What a program that was killed left open is in the clear.
	if err := backups.Sweep(below, openedCopy, time.Now()); err != nil {
		return nil, err
	}
	folder, err := os.MkdirTemp(below, openedCopy) // made with mode 0700
	if err != nil {
		return nil, err
	}
	u := &unpacked{file: file, folder: folder}
	defer func() {
		if err != nil {
			u.remove()
		}
	}()
	u.Extracted, err = backups.Extract(ctx, file, key, folder, freeIn)
	switch {
	case errors.Is(err, backups.ErrWrongKey):
		return nil, refused("backup_wrong_key", "file", filepath.Base(file), "key", header.Recipient)
	case err != nil:
		return nil, badBackup(err, file)
	case !u.Manifest.Has(u.part()):
		return nil, badBackup(backups.ErrChanged, file)
	}
	return u, nil
}

// peek reads the header and refuses what this program cannot open.
func peek(ctx context.Context, file string) (backups.Header, error) {
	header, err := backups.Peek(file)
	if err != nil {
		return header, badBackup(err, file)
	}
	known, err := store.NewestSchema()
	if err == nil && header.Schema > known {
		err = refused("backup_newer_schema", "file", filepath.Base(file), "n", fmt.Sprint(header.Schema), "most", fmt.Sprint(known))
	}
	return header, err
}

// badBackup says what is wrong with a file.
func badBackup(err error, file string) error {
	name := filepath.Base(file)
	for _, known := range []struct {
		err  error
		code string
	}{{fs.ErrNotExist, "backup_not_there"}, {backups.ErrNotBackup, "backup_not_ours"}, {backups.ErrNewerFormat, "backup_newer_format"}, {backups.ErrCut, "backup_cut"}, {backups.ErrChanged, "backup_changed"}, {backups.ErrNoRoom, "backup_no_room_to_open"}} {
		if errors.Is(err, known.err) {
			return refused(known.code, "file", name)
		}
	}
	return fmt.Errorf("%s: %w", name, err)
}

// part is the name of the database in it.
func (u *unpacked) part() string {
	if u.Header.Database == store.SQLite {
		return "database.sqlite"
	}
	return "database.pgdump"
}

func (u *unpacked) path(name string) string { return filepath.Join(u.folder, name) }

func (u *unpacked) remove() { os.RemoveAll(u.folder) }

// database opens what came out, brought up to date: on PostgreSQL in an empty
// database at an address.
func (u *unpacked) database(ctx context.Context, address string) (*store.Store, error) {
	if u.Header.Database == store.SQLite {
		address = "sqlite:" + u.path("database.sqlite")
		found, err := store.CheckSQLite(ctx, u.path("database.sqlite"))
		if err == nil && (found.Schema != u.Header.Schema || found.Log != u.Header.Log) {
			err = backups.ErrChanged
		}
		if err != nil {
			return nil, badBackup(err, u.file)
		}
	} else {
		s, err := store.Open(ctx, address, store.Options{})
		if err != nil {
			return nil, err
		}
		err = s.RestorePostgres(ctx, u.path("database.pgdump"))
		s.Close() // What its connections know of the schema is of before.
		if errors.Is(err, store.ErrNotEmpty) {
			return nil, refused("backup_not_empty", "place", "what is in it")
		}
		if err != nil {
			return nil, err
		}
	}
	s, err := broughtUpAt(ctx, address)
	if err != nil && u.Header.Database == store.Postgres { // It was empty before.
		err = errors.Join(err, clearAt(ctx, address))
	}
	return s, err
}

// broughtUpAt opens a database that is being put back and brings its schema up to date.
func broughtUpAt(ctx context.Context, address string) (*store.Store, error) {
	s, err := store.Open(ctx, address, store.Options{Restoring: true})
	if err != nil {
		return nil, err
	}
	if _, err := s.Migrate(ctx); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// clearAt empties a PostgreSQL database that could not be brought up to date, also
// for whoever was told to stop meanwhile.
func clearAt(ctx context.Context, address string) error {
	ctx = context.WithoutCancel(ctx)
	s, err := store.Open(ctx, address, store.Options{Restoring: true})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.Clear(ctx)
}

// errNoKeys says that no public key came with a backup.
var errNoKeys = errors.New("no public keys")

// verified holds a database against its log, by the keys that came with it. A
// log that has not begun has nothing to be held against.
func (u *unpacked) verified(ctx context.Context, s *store.Store) (*verify.Report, error) {
	if u.Header.Log == "" {
		return nil, nil
	}
	keys, err := publicKeys(u.path("keys"))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errNoKeys, err)
	}
	var report verify.Report
	err = s.Freeze(ctx, func(frozen *store.Frozen) (err error) {
		report, err = verify.Database(frozen, trail.NewVerifier(keys), contentOf)
		return err
	})
	return &report, err
}

// firstFault is the code of what is not sound, empty where all is.
func firstFault(report *verify.Report) trail.Code {
	switch {
	case report == nil || report.Sound():
		return ""
	case report.Problem != nil:
		return report.Problem.Code
	}
	for _, code := range verify.Codes {
		if report.Counts[code] > 0 && code != verify.UnknownKind {
			return code
		}
	}
	return "unsound"
}

// holds tells what a backup holds and from when.
func (u *unpacked) holds(c models.DatabaseCounts) string {
	text := fmt.Sprintf("From %s, by version %s, schema %d, %s.\nItems: %d, inspections: %d, certificates: %d, people: %d.\n",
		u.Header.At.Format("2006-01-02 15:04:05 UTC"), u.Header.Program, u.Header.Schema, u.Header.Database, c.Items, c.Inspections, c.Certificates, c.People)
	if c.Newest != nil {
		text += fmt.Sprintf("Last change: %s.\n", c.Newest.Format("2006-01-02 15:04:05 UTC"))
	}
	return text
}
