package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/access"
	"tracewright/server/app"
	"tracewright/server/keyring"
	"tracewright/testdata/demo"
)

const (
	demoDatabase = "shop.db"
	demoNote     = "shop.json"
	demoMaking   = "being-made.db"

	// What seals the shop's log, and its copies, which a shop has elsewhere.
	demoKeys        = "shop.keys"
	demoCheckpoints = "checkpoints"

	// Everybody in the invented shop has these: there is nothing to protect.
	demoPassword = "geese along the weir"
	demoPIN      = "2714"
)

// demoShop is the note beside the database: the shop is whole, and which it is.
type demoShop struct {
	Seed         uint64    `json:"seed"`
	Scenario     string    `json:"scenario"`
	MadeAt       time.Time `json:"made_at"`
	Owner        string    `json:"owner"`
	Wheels       int       `json:"wheels"`
	Packs        int       `json:"packs"`
	Certificates int       `json:"certificates"`
}

// readShop reads the note; os.ErrNotExist when there is no whole shop.
func readShop(folder string) (demoShop, error) {
	raw, err := os.ReadFile(filepath.Join(folder, demoNote))
	if err == nil {
		_, err = os.Stat(filepath.Join(folder, demoDatabase))
	}
	if err != nil {
		return demoShop{}, fmt.Errorf("look for the invented shop: %w", err)
	}
	var made demoShop
	if err := json.Unmarshal(raw, &made); err != nil {
		return demoShop{}, fmt.Errorf("read %s: %w", filepath.Join(folder, demoNote), err)
	}
	return made, nil
}

// foreign names what lies under a name of the demo's and is not its own: without
// the note, or a shop that it had begun to make, it may be a shop that somebody works with.
func foreign(folder string) (string, error) {
	there := func(name string) (bool, error) {
		_, err := os.Lstat(filepath.Join(folder, name))
		if errors.Is(err, os.ErrNotExist) {
			return false, nil
		}
		return err == nil, err
	}
	for _, own := range []string{demoNote, demoMaking} {
		if is, err := there(own); is || err != nil {
			return "", err
		}
	}
	for _, name := range []string{demoDatabase, demoKeys, demoCheckpoints} {
		if is, err := there(name); is || err != nil {
			return name, err
		}
	}
	return "", nil
}

// makeShop makes the shop under another name, leaves the note and puts the shop in its
// place last, so that a start that is broken off leaves nothing half-made. What another
// program's shop would be is never taken away.
func (d *demoCommand) makeShop(ctx context.Context, std streams, folder string) (demoShop, error) {
	made := demoShop{Seed: 1, Scenario: demo.Story, MadeAt: time.Now().UTC().Truncate(time.Second)}
	if d.Seed != nil {
		made.Seed = *d.Seed
	}
	if d.Scenario != "" {
		made.Scenario = d.Scenario
	}
	if name, err := foreign(folder); err != nil {
		return demoShop{}, fmt.Errorf("look for the invented shop: %w", err)
	} else if name != "" {
		return demoShop{}, &exitError{2, fmt.Sprintf("tracewright: in %s lies %s, which this demo did not make, and which it would throw away: name another folder by --folder", folder, name)}
	}
	fmt.Fprintf(std.out, "Inventing a workshop in %s; this takes some seconds, once.\n", folder)
	if err := takeAway(folder); err != nil {
		return demoShop{}, err
	}
	// Its file comes first: by it the next start knows that the rest is the demo's own.
	if err := os.WriteFile(filepath.Join(folder, demoMaking), nil, 0o600); err != nil {
		return demoShop{}, fmt.Errorf("begin the invented shop: %w", err)
	}
	keys, err := keyring.Open(filepath.Join(folder, demoKeys))
	if err != nil {
		return demoShop{}, err
	}
	if err := d.fill(ctx, filepath.Join(folder, demoMaking), keys, &made); err != nil {
		return demoShop{}, errors.Join(err, takeAway(folder))
	}
	note, err := json.MarshalIndent(made, "", "  ")
	if err != nil {
		return demoShop{}, fmt.Errorf("write the note of the invented shop: %w", err)
	}
	if err := os.WriteFile(filepath.Join(folder, demoNote), append(note, '\n'), 0o600); err != nil {
		return demoShop{}, fmt.Errorf("write the note of the invented shop: %w", err)
	}
	if err := os.Rename(filepath.Join(folder, demoMaking), filepath.Join(folder, demoDatabase)); err != nil {
		return demoShop{}, fmt.Errorf("put the invented shop in its place: %w", err)
	}
	return made, nil
}

// fill makes the shop in a new database and lets its people in. Closing the
// database brings all of it into the one file; only then is the disk waited for,
// since a shop that is cut short while it is made is thrown away.
func (d *demoCommand) fill(ctx context.Context, path string, keys *keyring.Folder, made *demoShop) (err error) {
	s, err := store.Open(ctx, "sqlite:"+path, store.Options{Disposable: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close(), settle(path)) }()
	if _, err := s.Migrate(ctx); err != nil {
		return err
	}
	// Nine months are made of small things that are thrown away at once: collecting
	// them a quarter as often saves some of the wait.
	often, most := debug.SetGCPercent(400), debug.SetMemoryLimit(512<<20)
	defer debug.SetGCPercent(often)
	defer debug.SetMemoryLimit(most)
	summary, err := demo.Seed(ctx, s, demo.Options{Seed: made.Seed, Scenario: made.Scenario, Now: made.MadeAt, Wheels: d.wheels, Packs: d.packs, Keys: keys})
	if err != nil {
		return err
	}
	made.Owner, made.Wheels, made.Packs, made.Certificates = summary.Owner.ID, summary.Wheels, summary.Packs, summary.Certificates
	// A secret that is printed at each start is worth no dear hash.
	if err := letIn(ctx, access.New(s, time.Now, access.Cost{MemoryKiB: 1024, Passes: 1, Lanes: 1})); err != nil {
		return err
	}
	return watchCharts(ctx, s, app.Config{Version: version()})
}

// watchCharts computes what the charts signal of a shop that was made past the
// server, so that its first page knows it.
func watchCharts(ctx context.Context, s *store.Store, config app.Config) error {
	a, err := app.New(s, config)
	if err != nil {
		return err
	}
	return a.Services.Watch.Rebuild(ctx, nil)
}

// settle waits until a file is on the disk.
func settle(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("settle the invented shop: %w", err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("settle the invented shop: %w", err)
	}
	return nil
}

func letIn(ctx context.Context, people *access.Service) error {
	everybody, err := people.People(ctx)
	if err != nil {
		return err
	}
	for _, p := range everybody {
		if err := people.SetPIN(ctx, models.Actor{}, p.ID, demoPIN); err != nil {
			return err
		}
		if p.Login == nil {
			continue
		}
		if err := people.SetPassword(ctx, models.Actor{}, p.ID, demoPassword); err != nil {
			return err
		}
	}
	return nil
}

// takeAway takes a shop away, whole or half made, and nothing else of the folder:
// last the note and the file of a half-made one, by which the next start knows what is
// left for its own. Without its database a note is of no shop. Its keys go too, since
// they are for its log alone.
func takeAway(folder string) error {
	var names []string
	for _, database := range []string{demoDatabase, demoMaking} {
		names = append(names, database+"-wal", database+"-shm", database+"-journal")
	}
	names = append(names, demoDatabase, demoKeys, demoCheckpoints, demoMaking, demoNote)
	var errs []error
	for _, name := range names {
		errs = append(errs, os.RemoveAll(filepath.Join(folder, name)))
	}
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("take the old shop away: %w", err)
	}
	return nil
}
