package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"tracewright/models"
	"tracewright/models/words"
)

type doctorCommand struct {
	databaseFlag
	keysFlag
	tlsFlags
	backupsFlag
	NoDailyBackups bool   `help:"As for serve." env:"TRACEWRIGHT_NO_DAILY_BACKUPS"`
	Checkpoints    string `help:"Folder for copies of checkpoints, as for serve." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_CHECKPOINTS"`
	JSON           bool   `help:"Tell it as JSON." name:"json" env:"-"`
}

// Help tells what is looked at and what the status says.
func (doctorCommand) Help() string {
	return `Looks at the disk, the clock, the backups, the keys, the certificate and the database, and says what to do about each thing that is not as it should be. Nothing is changed, and the server may run meanwhile. Of serve's flags it takes those below: give it the same ones, or the same variables.

  tracewright doctor --database sqlite:/srv/tracewright/shop.db

Exit status 0: all is well. 1: something is to be done. 2: something could not be looked at.`
}

// States of a finding.
const (
	good    = "good"
	warning = "warning" // works, and will not for ever
	bad     = "bad"
	unknown = "unknown" // could not be looked at
)

// finding is one thing that was looked at.
type finding struct {
	Check  string            `json:"check"` // disk, clock, backups, keys, certificate, database
	State  string            `json:"state"`
	Code   string            `json:"code"`
	Values map[string]string `json:"values,omitempty"`
	Says   string            `json:"says"`
}

// doctor gathers findings.
type doctor struct {
	*doctorCommand
	now   time.Time
	found []finding
}

// add writes a finding down; values are name, value pairs.
func (d *doctor) add(check, state, code string, values ...string) {
	r := models.NewRemark("doctor_"+code, values...)
	d.found = append(d.found, finding{check, state, code, r.Values, words.In("en").Remark(r)})
}

// remark writes down a finding that has words already.
func (d *doctor) remark(check, state string, r models.Remark) {
	d.found = append(d.found, finding{check, state, r.Code, r.Values, words.In("en").Remark(r)})
}

// failed writes down that something could not be looked at.
func (d *doctor) failed(check string, cause error) {
	d.add(check, unknown, "not_looked", "cause", inWords(cause))
}

// Run looks at everything and tells.
func (c *doctorCommand) Run(ctx context.Context, std streams) error {
	d := &doctor{doctorCommand: c, now: time.Now()}
	d.look(ctx)
	if err := ctx.Err(); err != nil {
		return err
	}
	status := d.status()
	if err := d.tell(std.out, status); err != nil {
		return err
	}
	if status != 0 {
		return &silentError{status}
	}
	return nil
}

// look makes every check; what one of them needs and another could not open is
// told once.
func (d *doctor) look(ctx context.Context) {
	d.disks()
	s := d.database(ctx)
	if s != nil {
		defer s.Close()
	}
	d.clock(ctx, s)
	d.backups(ctx, s)
	d.keys(ctx, s)
	d.certificate()
}

// status is 2 where something could not be looked at, otherwise 1 where something
// is to be done.
func (d *doctor) status() int {
	status := 0
	for _, f := range d.found {
		switch f.State {
		case unknown:
			return 2
		case warning, bad:
			status = 1
		}
	}
	return status
}

func (d *doctor) tell(out io.Writer, status int) error {
	if d.JSON {
		encoder := json.NewEncoder(out)
		encoder.SetIndent("", "  ")
		encoder.SetEscapeHTML(false)
		return encoder.Encode(map[string]any{"status": status, "version": version(), "findings": d.found})
	}
	for _, f := range d.found {
		fmt.Fprintf(out, "%-12s %-8s %s\n", f.Check, f.State, f.Says)
	}
	last := map[int]string{0: "All is well.", 1: "Something is to be done: see the lines that are not good.", 2: "Something could not be looked at."}[status]
	_, err := fmt.Fprintln(out, last)
	return err
}
