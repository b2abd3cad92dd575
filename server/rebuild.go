package main

import (
	"context"
	"fmt"
	"time"

	"tracewright/server/app"
)

type rebuildCommand struct{ databaseFlag }

// Help tells when it is wanted.
func (rebuildCommand) Help() string {
	return `Counts and sums that pages are drawn from follow from the records and are kept beside them. This makes all of them anew, as after records were put in past the program. The server may run meanwhile; nothing that was recorded is changed, and a run that was cut short may be started again.

  tracewright rebuild --database sqlite:shop.db`
}

// Run makes everything anew that follows from the records.
func (r *rebuildCommand) Run(ctx context.Context, std streams) error {
	s, err := r.existing(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := upToDate(ctx, s); err != nil {
		return err
	}
	a, err := app.New(s, app.Config{Version: version()})
	if err != nil {
		return err
	}
	return rebuild(ctx, a.Rollups(), std, time.Now)
}

// tellEvery is how long a rebuild works in silence.
const tellEvery = 2 * time.Second

func rebuild(ctx context.Context, rollups []app.Rollup, std streams, now func() time.Time) error {
	for _, r := range rollups {
		began := now()
		told, last := began, 0
		err := r.Rebuild(ctx, func(done, total int) {
			last = total
			if t := now(); t.Sub(told) >= tellEvery {
				told = t
				fmt.Fprintf(std.out, "%s: %d of %d\n", r.Name, done, total)
			}
		})
		if err != nil {
			return fmt.Errorf("%s: %w", r.Name, err)
		}
		fmt.Fprintf(std.out, "%s: %d of %d, %s\n", r.Name, last, last, now().Sub(began).Round(time.Millisecond))
	}
	return nil
}
