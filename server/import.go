package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/words"
	"tracewright/models/work/lists"
	"tracewright/server/app"
)

type importCommand struct {
	databaseFlag
	asFlag
	Kind   string `arg:"" help:"What the list brings: lots, items, build-records or customers."`
	File   string `arg:"" help:"The list, as CSV; - reads it from standard input."`
	DryRun bool   `help:"Say what is wrong with it, and store nothing."`
}

// Help tells how a list has to be.
func (importCommand) Help() string {
	return `A heading row, then a row each; commas, semicolons or tabs between cells, UTF-8 or Windows-1252. The page "Lists in and out" names the headings and has examples.

Everything that is wrong is said row by row, and then nothing is stored (status 2). A row that is on record already is passed over, so that a list may be sent again.`
}

// asFlag is in whose name a list is taken in or written out.
type asFlag struct {
	As string `help:"In whose name: a login, or the name of one person; left out, the program's own." placeholder:"WHO"`
}

// withLists opens a database that is there, and hands the service of lists to f,
// with who asks.
func (a asFlag) withLists(ctx context.Context, database databaseFlag, f func(*lists.Service, models.Actor) error) error {
	if err := database.isThere(ctx); err != nil {
		return err
	}
	opened, err := app.Open(ctx, app.Config{Database: database.Database, Log: slog.New(slog.DiscardHandler),
		BeforeUpgrade: func(ctx context.Context, _ *store.Store) error { return upToDateOnly(ctx) }})
	if err != nil {
		return err
	}
	defer opened.Close()
	actor := models.Actor{}
	if a.As != "" {
		who, err := whoArgument{Who: a.As}.find(ctx, opened.Services.Access)
		if err != nil {
			return err
		}
		actor = models.Actor{PersonID: who.ID, Name: who.Name, Role: who.Role}
	}
	return f(opened.Services.Lists, actor)
}

// Run takes the list in, or says what is wrong with it.
func (i *importCommand) Run(ctx context.Context, std streams) error {
	raw, err := i.read(std)
	if err != nil {
		return err
	}
	return i.withLists(ctx, i.databaseFlag, func(service *lists.Service, actor models.Actor) error {
		kind, ok := lists.Named(i.Kind)
		switch {
		case !ok || kind.In == "":
			return &exitError{2, "tracewright: no list of " + i.Kind + " is taken in"}
		case i.As != "" && !actor.May(kind.In):
			return &exitError{2, fmt.Sprintf("tracewright: %s may not take in %s", actor.Name, i.Kind)}
		}
		var report lists.Report
		done := "taken in"
		if i.DryRun {
			if report, err = service.Try(ctx, actor, kind.Name, raw); err == nil {
				done, err = "can be taken in", report.Err()
			}
		} else {
			report, err = service.TakeIn(ctx, actor, kind.Name, raw, "") // Nobody looked at it before.
		}
		for _, n := range report.Notes {
			fmt.Fprintln(std.err, "tracewright:", words.In("en").Remark(n))
		}
		if err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%d of %d rows %s, %d on record already.\n", report.New, report.Rows, done, report.Same)
		return nil
	})
}

func (i *importCommand) read(std streams) ([]byte, error) {
	from := std.in
	if i.File != "-" {
		file, err := os.Open(i.File)
		if err != nil {
			return nil, &exitError{2, "tracewright: " + err.Error()}
		}
		defer file.Close()
		from = file
	}
	raw, err := io.ReadAll(io.LimitReader(from, lists.MostBytes+1)) // One more is refused as too large.
	if err != nil {
		return nil, fmt.Errorf("read the list: %w", err)
	}
	return raw, nil
}
