package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"tracewright/models/store"
	"tracewright/server/keyring"
)

// check opens a backup in a temporary place and verifies all of it.
func (b *backupCommand) check(ctx context.Context, std streams) error {
	// What is wrong with the file is the answer, not a failure to look.
	u, err := b.unpack(ctx, b.Check, os.TempDir(), linesOf(ctx, std), std)
	if err != nil {
		return err
	}
	defer u.remove()
	address := ""
	if u.Header.Database == store.Postgres {
		if b.Database == "" {
			return &exitError{2, fmt.Sprintf("tracewright: %s holds a PostgreSQL database. Its sums are right; to look into it, name with --database a server on which a database may be made for a moment.", filepath.Base(b.Check))}
		}
		scratch, drop, err := store.Scratch(ctx, b.Database)
		if err != nil {
			return notLooked(err)
		}
		defer drop()
		address = scratch
	}
	s, err := u.database(ctx, address)
	if err != nil {
		if sayProblems(std.err, err) {
			return &exitError{1, "tracewright: not sound"}
		}
		return notLooked(err)
	}
	defer s.Close()
	counts, err := s.Counts(ctx)
	if err != nil {
		return notLooked(err)
	}
	fmt.Fprintf(std.out, "%s\n%sParts: %d, all with their sums.\n", filepath.Base(b.Check), u.holds(counts), len(u.Manifest.Parts))
	if err := u.sayKeys(std); err != nil {
		return err
	}
	report, err := u.verified(ctx, s)
	switch {
	case errors.Is(err, errNoKeys):
		return notLooked(errors.New("no public key of the log is in it"))
	case err != nil:
		return notLooked(err)
	case report == nil:
		fmt.Fprintln(std.out, "Its log of changes has not begun: there is nothing to hold the records against.")
		return nil
	}
	return sayDatabase(*report, std)
}

// sayKeys opens the private keys and says how many there are.
func (u *unpacked) sayKeys(std streams) error {
	if !u.Header.Sealed() {
		fmt.Fprintln(std.out, "It is in the clear and holds no private keys.")
		return nil
	}
	folder, err := keyring.Open(u.path("keys"))
	if err != nil {
		return notLooked(err)
	}
	keys, err := folder.All()
	if err != nil {
		return &exitError{1, fmt.Sprintf("tracewright: not sound: %v", err)}
	}
	fmt.Fprintf(std.out, "Private keys: %d.\n", len(keys))
	return nil
}
