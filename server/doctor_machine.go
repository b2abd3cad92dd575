package main

import (
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
	"tracewright/models/zones"
)

const (
	// leastFree is what a disk should have left whatever lies on it: some months of
	// a shop's records.
	leastFree = 1 << 30
	// almostFull is when the next days may fill it.
	almostFull = 200 << 20
)

// disks looks at the room where the database and the backups lie. A backup of a
// SQLite file has a copy beside it on the way, and its log may grow meanwhile.
func (d *doctor) disks() {
	type place struct {
		folder       string
		wants, needs uint64
	}
	var places []place
	if file, isFile := sqliteFile(d.Database); isFile {
		size, err := store.SizeOf(file)
		if err != nil {
			size = 0 // That there is no database, another check tells.
		}
		folder := filepath.Dir(file)
		places = append(places, place{folder, leastFree + 3*uint64(size), almostFull + uint64(size)})
		if elsewhere(folder) {
			d.add("disk", bad, "elsewhere", "folder", folder)
		}
	}
	if folder, _ := d.backupsFlag.folder(d.Database, d.Keys); folder != "" {
		if _, err := os.Stat(folder); err == nil {
			places = append(places, place{folder, leastFree, almostFull})
		}
	}
	for _, p := range places {
		free, _, err := freeIn(p.folder)
		values := []string{"free", words.Bytes(int64(free)), "folder", p.folder, "wants", words.Bytes(int64(p.wants))}
		switch {
		case errors.Is(err, errors.ErrUnsupported):
			d.add("disk", good, "disk_untold", "folder", p.folder)
		case errors.Is(err, fs.ErrNotExist):
			d.add("disk", bad, "no_folder", "folder", p.folder)
		case err != nil:
			d.failed("disk", err)
		case free < p.needs:
			d.add("disk", bad, "disk_full", values...)
		case free < p.wants:
			d.add("disk", warning, "disk_low", values...)
		default:
			d.add("disk", good, "disk", values...)
		}
	}
}

const (
	// clockApart is how far clocks may differ without a word.
	clockApart = 2 * time.Second
	// clockAhead is how far a record may be dated after now: tablets' clocks are
	// corrected, and servers' are kept by a time server.
	clockAhead = 2 * time.Minute
)

// firstMoment is before any record of this program: a clock that says so lost its
// battery.
var firstMoment = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)

// clock holds this machine's clock against the newest record and against the
// database's own, and looks at the shop's time zone.
func (d *doctor) clock(ctx context.Context, s *store.Store) {
	wrong := len(d.found)
	if d.now.Before(firstMoment) {
		d.add("clock", bad, "clock_lost", "when", d.now.UTC().Format("2006-01-02 15:04 UTC"))
	}
	if kept, known := clockKept(); known && !kept {
		d.add("clock", warning, "clock_alone")
	}
	if s == nil {
		return
	}
	look, err := s.Look(ctx)
	if err != nil {
		d.failed("clock", err)
		return
	}
	if ahead := look.Newest.Sub(d.now); ahead > clockAhead {
		d.add("clock", bad, "clock_behind", "when", look.Newest.Format("2006-01-02 15:04 UTC"), "value", spanInWords(ahead))
	}
	if apart := look.Now.Sub(d.now).Abs() - time.Since(d.now); apart > clockApart {
		d.add("clock", bad, "clocks_apart", "value", spanInWords(apart))
	}
	d.zone(ctx, s)
	if len(d.found) == wrong {
		d.add("clock", good, "clock", "when", d.now.UTC().Format("2006-01-02 15:04:05 UTC"))
	}
}

func (d *doctor) zone(ctx context.Context, s *store.Store) {
	name, err := s.Setting(ctx, models.SettingTimeZone)
	switch {
	case errors.Is(err, models.ErrNotFound) || err == nil && name == "":
		d.add("clock", warning, "zone_unset")
	case err != nil:
		d.failed("clock", err)
	default:
		if _, err := zones.Load(name); err != nil {
			d.add("clock", bad, "zone_unknown", "zone", name)
		}
	}
}

// spanInWords is a span of time as people say it.
func spanInWords(d time.Duration) string {
	for _, unit := range []struct {
		of   time.Duration
		name string
	}{{24 * time.Hour, "days"}, {time.Hour, "hours"}, {time.Minute, "minutes"}} {
		if d >= 2*unit.of {
			return fmt.Sprintf("%d %s", int(d/unit.of), unit.name)
		}
	}
	return fmt.Sprintf("%d seconds", int(max(0, d).Seconds()))
}
