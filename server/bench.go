package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/server/app"
	"tracewright/server/bench"
	"tracewright/server/keyring"
)

type benchCommand struct {
	Database string  `help:"What is measured beside SQLite: postgres://USER@HOST/NAME, in a schema of its own that is removed; sqlite:PATH measures the disk on which that file lies. With --fill: what is filled." placeholder:"URL" env:"TRACEWRIGHT_DATABASE"`
	Seconds  float64 `help:"How long each rate is measured." default:"5" env:"-"`
	JSON     bool    `help:"Figures as JSON." env:"-"`
	Minutes  float64 `help:"What a stand is taken to do: an inspection of 108 readings each so many minutes, all day." default:"6" env:"-"`
	Alone    bool    `help:"Measure without what a server does beside: charts are not watched and nothing is counted, the log is sealed all the same." env:"-"`
	Fill     int     `help:"Measure nothing; fill an empty --database with so many items." placeholder:"N" env:"-"`
	Seed     uint64  `help:"Of what --fill makes: another seed makes other readings." default:"1" env:"-"`
	keysFlag

	program []string // starts the server; tests name it, and make the rest shorter
	rest    time.Duration
	queue   int
}

// Help tells what is measured, and how to read it.
func (benchCommand) Help() string {
	return `Measures this program on this machine, server and database together, against what the database reaches by itself in the same run: a multi-row insert of the same rows for capture, the same statements for a look-up (by pgbench where it is installed). Rates belong to this machine and this hour; compare the ratios. Let nothing else run meanwhile. It takes about a minute for each database and leaves nothing behind.

  tracewright bench
  tracewright bench --database sqlite:/srv/tracewright/shop.db
  tracewright bench --database postgres://tracewright@db/shop --seconds 10

With --fill it makes a database to try things on: wheels, packs, motors and blocks with what is built into them, inspected, entered and sealed, through the same ways as a shop's work. The same number and seed make the same readings.

  tracewright bench --fill 1000000 --database sqlite:big.db`
}

// Run measures, or fills.
func (b *benchCommand) Run(ctx context.Context, std streams) error {
	if b.Fill > 0 {
		return b.fill(ctx, std)
	}
	if b.Seconds <= 0 || b.Minutes <= 0 {
		return &exitError{2, "tracewright: --seconds and --minutes: want more than 0"}
	}
	options := bench.Options{Beside: ".", During: time.Duration(b.Seconds * float64(time.Second)), Pgbench: bench.Pgbench(), Program: b.program, Rest: b.rest, Queue: b.queue, Alone: b.Alone, Stand: bench.DefaultStand}
	options.Stand.Minutes = b.Minutes
	if file, isFile := sqliteFile(b.Database); isFile {
		options.Beside = filepath.Dir(file)
	} else {
		options.Postgres = b.Database
	}
	if options.Program == nil {
		self, err := os.Executable()
		if err != nil {
			return fmt.Errorf("find this program: %w", err)
		}
		options.Program, options.Rest = []string{self}, 8*time.Second
	}
	if !b.JSON {
		options.Told = func(database, name string) { fmt.Fprintf(std.err, "%s: %s\n", database, measured[name]) }
	}
	report, err := bench.Run(ctx, options)
	if err != nil {
		return err
	}
	if b.JSON {
		lines := json.NewEncoder(std.out)
		lines.SetIndent("", "  ")
		return lines.Encode(report)
	}
	return printFigures(std.out, report)
}

// measured is what each figure is of.
var measured = map[string]string{
	bench.Capture: "inspections of 108 readings", bench.Steady: "the slowest 1 % at 80 % of that", bench.Drafts: "drafts saved", bench.Look: "items looked up, whole",
	bench.Queue: "500 queued, while others capture", bench.Start: "start on this database", bench.Idle: "memory, idle", bench.Binary: "size of the program",
}

// heldAgainst is what a rate is compared with.
var heldAgainst = map[string]string{bench.ByPgbench: "pgbench", bench.ByDriver: "database alone", bench.Median: "the median"}

func printFigures(out io.Writer, report bench.Report) error {
	table := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "DATABASE\tMEASURED\tFIGURE\tAGAINST\tRATIO\tTARGET\t")
	for _, f := range report.Figures {
		against, ratio, target := "", "", ""
		if f.With != "" {
			against = fmt.Sprintf("%s of %s", amount(f.Against), heldAgainst[f.With])
		}
		if f.Statements > 0 {
			against += fmt.Sprintf(", %d statements each", f.Statements)
		}
		if f.Ratio != 0 {
			ratio = fmt.Sprintf("%.2f", f.Ratio)
		}
		if f.Met != nil {
			bound, met := "at most", "met"
			if f.Least {
				bound = "at least"
			}
			if !*f.Met {
				met = "missed"
			}
			target = fmt.Sprintf("%s %g: %s", bound, f.Target, met)
		}
		fmt.Fprintf(table, "%s\t%s\t%s %s\t%s\t%s\t%s\t\n", f.Database, measured[f.Name], amount(f.Value), f.Unit, against, ratio, target)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(out, "\nEach rate over %g s, with %d clients on %d processors, server and clients on this machine. Rates are of this machine and this hour; the ratios are what to compare.\n", report.Seconds, bench.Clients, report.CPUs)
	for _, a := range report.Advice {
		fmt.Fprintf(out, "\n%s\n", advice(a))
	}
	return nil
}

// advice says for how many stands a database is enough.
func advice(a bench.Advice) string {
	name, more := "SQLite on this disk", "For more, or for several servers, take PostgreSQL: \"tracewright bench --database postgres://...\" measures it."
	if a.Database == bench.Postgres {
		name, more = "PostgreSQL on this machine", "For more, give it a machine of its own, and add servers in front of it."
	}
	return fmt.Sprintf("%s carries about %d stands, each of which measures a wheel at every hole each %g minutes without a pause, saves %d drafts meanwhile and opens %d items, with half of the machine kept free. %s",
		name, round(a.Stands), a.Rate.Minutes, a.Rate.Drafts, a.Rate.Looks, more)
}

// round keeps two digits: the rest is chance.
func round(n int) int {
	scale := 1
	for n >= 100 {
		n, scale = n/10, scale*10
	}
	return n * scale
}

func amount(v float64) string {
	switch {
	case v >= 100:
		return fmt.Sprintf("%.0f", v)
	case v >= 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}

// fill makes a database to try things on.
func (b *benchCommand) fill(ctx context.Context, std streams) error {
	if b.Database == "" {
		return &exitError{2, "tracewright: --fill needs --database"}
	}
	file, isFile := sqliteFile(b.Database)
	if isFile {
		// Nothing waits for the disk while it is made, so a file that holds anything is
		// left alone.
		if _, err := os.Stat(file); !errors.Is(err, fs.ErrNotExist) {
			return &exitError{2, fmt.Sprintf("tracewright: %s is there already; --fill makes a new file", file)}
		}
	}
	s, err := store.Open(ctx, b.Database, store.Options{Disposable: isFile})
	if err != nil {
		return err
	}
	// Before its schema is touched, or a key is made.
	keys, err := b.keysIfEmpty(ctx, s)
	if err != nil {
		return errors.Join(err, s.Close())
	}
	filled, err := b.fillOpen(ctx, std, s, bench.Filling{Items: b.Fill, Seed: b.Seed, End: time.Now().UTC().Truncate(24 * time.Hour), Keys: keys})
	err = errors.Join(err, s.Close())
	if isFile && err == nil {
		err = settle(file)
	}
	if errors.Is(err, bench.ErrShop) {
		return errHoldsShop
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(std.out, "%d items, %d parts built in, %d inspections; %d entries of the log of changes, all sealed\n", filled.Items, filled.Parts, filled.Inspections, filled.Entries)
	return nil
}

var errHoldsShop = &exitError{2, "tracewright: that database holds a shop already; --fill wants an empty one"}

// keysIfEmpty opens the folder of keys for a database that holds nothing yet, or the
// schema of this program alone.
func (b *benchCommand) keysIfEmpty(ctx context.Context, s *store.Store) (*keyring.Folder, error) {
	empty, err := s.Empty(ctx)
	if err == nil && !empty {
		var has, known int64
		if has, err = s.SchemaVersion(ctx); err == nil {
			known, err = store.NewestSchema()
		}
		if err == nil && has != known {
			err = errHoldsShop
		}
		if err == nil {
			var people []models.Person
			if people, err = s.People(ctx); err == nil && len(people) > 0 {
				err = errHoldsShop
			}
		}
	}
	if err != nil {
		return nil, err
	}
	return b.keysFlag.open(b.Database)
}

func (b *benchCommand) fillOpen(ctx context.Context, std streams, s *store.Store, f bench.Filling) (bench.Filled, error) {
	if _, err := s.Migrate(ctx); err != nil {
		return bench.Filled{}, err
	}
	told := time.Now()
	f.Told = func(items int) {
		if now := time.Now(); now.Sub(told) >= tellEvery {
			told = now
			fmt.Fprintf(std.err, "%d of %d items\n", items, f.Items)
		}
	}
	filled, err := bench.Fill(ctx, s, f)
	if err != nil {
		return filled, err
	}
	if err := bench.Analyze(ctx, b.Database); err != nil {
		return filled, err
	}
	a, err := app.New(s, app.Config{Version: version()})
	if err != nil {
		return filled, err
	}
	return filled, rebuild(ctx, a.Rollups(), streams{in: strings.NewReader(""), out: std.err, err: std.err}, time.Now)
}
