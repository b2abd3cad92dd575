package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/words"
	"tracewright/server/keyring"
)

// isFile refuses a SQLite file that does not exist: only what begins a shop makes
// one.
func (d databaseFlag) isFile() error {
	file, isFile := sqliteFile(d.Database)
	if !isFile {
		return nil
	}
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return refused("database_not_there", "place", file)
	}
	return nil // What else is wrong with it, opening it tells.
}

// refuseOthers refuses what is not this program's, or of a newer version, before
// anything is made beside it; a new place is fine.
func (d databaseFlag) refuseOthers(ctx context.Context) error {
	if d.isFile() != nil {
		return nil
	}
	s, err := store.Open(ctx, d.Database, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	known, err := store.NewestSchema()
	if err != nil {
		return err
	}
	has, err := s.SchemaVersion(ctx)
	if err == nil && has > known {
		err = fmt.Errorf("it holds migration %d and this program knows %d: %w", has, known, store.ErrNewerDatabase)
	}
	return err
}

// refuseLost refuses to begin a shop where the keys of one lie, before anything is
// made: its database is not where it was. A new one would stand in the way of the
// disk that comes back, and of the backup. The folders are told as they were typed.
func (d databaseFlag) refuseLost(ctx context.Context, keys, typedKeys, tls string) error {
	if _, err := os.Stat(keys); err != nil {
		return nil
	}
	ring, err := keyring.Open(keys)
	if err != nil {
		return nil // What is wrong with it, whoever uses it tells.
	}
	if log, err := ring.Log(); err != nil || log == "" {
		return nil
	}
	var none *models.RefusedError
	if errors.As(d.isThere(ctx), &none) && slices.Contains([]string{"database_not_there", "database_no_shop"}, none.Reasons[0].Code) {
		code := "database_lost"
		if _, isFile := sqliteFile(d.Database); !isFile {
			code = "database_lost_server"
		}
		again := "tracewright restore FILE" + typedFlags(d.Database, typedKeys)
		if tls != "" {
			again += " --tls-folder " + typedWord(tls)
		}
		return refused(code, "place", placeOf(d.Database), "folder", keys, "tls", cmp.Or(tls, beside(d.Database, ".tls"), "the folder of --tls-folder"), "command", again)
	}
	return nil
}

// existing opens a database that holds a shop already. A slip in its name would
// otherwise make an empty one, and answer from that.
func (d databaseFlag) existing(ctx context.Context) (*store.Store, error) {
	if err := d.isFile(); err != nil {
		return nil, err
	}
	if file, isFile := sqliteFile(d.Database); isFile {
		if size, err := store.SizeOf(file); err == nil && size == 0 { // To open it would already write a page.
			return nil, refused("database_no_shop", "place", file)
		}
	}
	s, err := store.Open(ctx, d.Database, store.Options{})
	if err != nil {
		return nil, err
	}
	version, err := s.SchemaVersion(ctx)
	if err == nil && version == 0 {
		err = refused("database_no_shop", "place", placeOf(d.Database))
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// isThere refuses what existing does.
func (d databaseFlag) isThere(ctx context.Context) error {
	s, err := d.existing(ctx)
	if err != nil {
		return err
	}
	return s.Close()
}

// placeOf is a database as a sentence may name it: without a password.
func placeOf(database string) string {
	if file, isFile := sqliteFile(database); isFile {
		return file
	}
	return withoutPassword(database)
}

// inWords is an error as somebody reads it, where its code has a sentence.
func inWords(err error) string {
	var refused *models.RefusedError
	if errors.As(err, &refused) && len(refused.Reasons) > 0 {
		return words.In("en").Remark(refused.Reasons[0])
	}
	return err.Error()
}
