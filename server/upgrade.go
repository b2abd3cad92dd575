package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/backup"
	"tracewright/models/work/shop"
)

// upgradeFlags say what happens before the schema of a database changes.
type upgradeFlags struct {
	backupsFlag
	WithoutBackup bool `help:"Bring the schema up to date even where no backup can be made before." env:"-"`
}

// upgrade makes a backup before the schema of a database with records changes.
type upgrade struct {
	flags          upgradeFlags
	database       string
	keys, tls      string
	out            io.Writer
	made           *models.BackupRun
	madeBackupWith *backup.Service
}

// before is run when a database that has records is about to be changed. No
// backup, no change, unless somebody said so.
func (u *upgrade) before(ctx context.Context, s *store.Store) error {
	if u.flags.WithoutBackup {
		return nil
	}
	place := u.flags.placeFor(s, u.database, u.keys, u.tls)
	if place == nil {
		return u.refused(errors.New("name a folder for it with --backups"))
	}
	service := backupService(s, place)
	fmt.Fprintln(u.out, "The schema is brought up to date. A backup is made first; the whole may take some minutes.")
	run, err := service.BeforeMigrating(ctx)
	if err != nil {
		return u.refused(fmt.Errorf("%s\n%w", troubleInWords(err, place.folder), errors.Unwrap(err)))
	}
	fmt.Fprintf(u.out, "Backup from before: %s\n", run.File)
	if !run.Sealed {
		fmt.Fprintln(u.out, "It is not encrypted, for there is no recovery key yet, and only this account can read it. It holds no private keys.")
	}
	u.made, u.madeBackupWith = &run, service
	return nil
}

func (u *upgrade) refused(cause error) error {
	return &exitError{1, fmt.Sprintf("tracewright: the database is of an older version and would be brought up to date, but no backup can be made before that: %v\nNothing was changed. --without-backup goes on all the same.", cause)}
}

// after writes down what before made, once there is a table for it.
func (u *upgrade) after(ctx context.Context) error {
	if u.made == nil {
		return nil
	}
	return u.madeBackupWith.Noted(ctx, *u.made)
}

// upToDateOnly is for commands that do something else: they make a schema where
// there is none yet, and leave an older one to those that make a backup first.
func upToDateOnly(context.Context) error {
	return &exitError{1, "tracewright: the database is of an older version of this program. Start the server, or run tracewright migrate up: both make a backup first."}
}

// broughtUp makes the schema of a new database.
func broughtUp(ctx context.Context, s *store.Store) error {
	_, err := s.MigrateAfter(ctx, upToDateOnly)
	return err
}

// backupService is the service of backups of a command, without a server.
func backupService(s *store.Store, place backup.Place) *backup.Service {
	return backup.New(s, backup.Options{Place: place, Now: time.Now, Zone: shop.New(s, time.Now).Zone})
}
