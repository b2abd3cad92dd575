package main

import (
	"context"
	"fmt"

	"tracewright/models/store"
)

type migrateCommand struct {
	Up     migrateUp     `cmd:"" help:"Bring the schema up to date."`
	Status migrateStatus `cmd:"" help:"List the steps of the schema and which are there."`
}

type migrateUp struct {
	databaseFlag
	keysFlag
	upgradeFlags
}

// Help says what comes first.
func (migrateUp) Help() string {
	return `A backup is made before anything of a database with records is changed, as at the start of a server. Without one nothing is changed, unless --without-backup says so.`
}

// Run applies what is missing and names it.
func (m *migrateUp) Run(ctx context.Context, std streams) error {
	if folder, err := m.keysFlag.folder(m.Database); err == nil {
		if err := m.refuseLost(ctx, folder, m.Keys, ""); err != nil {
			return err
		}
	}
	s, err := store.Open(ctx, m.Database, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	u := &upgrade{flags: m.upgradeFlags, database: m.Database, keys: m.Keys, out: std.out}
	applied, err := s.MigrateAfter(ctx, func(ctx context.Context) error { return u.before(ctx, s) })
	if err == nil {
		err = u.after(ctx)
	}
	if err != nil {
		return err
	}
	for _, name := range applied {
		fmt.Fprintln(std.out, name, "applied")
	}
	if len(applied) == 0 {
		fmt.Fprintln(std.out, "up to date")
	}
	return nil
}

type migrateStatus struct{ databaseFlag }

// Run lists every step. Looking does not make a database, nor a table in an empty
// one, which then would be no place to put a backup back any more.
func (m *migrateStatus) Run(ctx context.Context, std streams) error {
	s, err := m.existing(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	steps, err := s.MigrationStatus(ctx)
	if err != nil {
		return err
	}
	for _, step := range steps {
		state := "missing"
		if step.Applied {
			state = "applied"
		}
		fmt.Fprintf(std.out, "%-8s %s\n", state, step.Name)
	}
	return nil
}
