package main

import (
	"context"
	"time"

	"tracewright/models/work/sealing"
)

type exportTrail struct {
	databaseFlag
}

// Help says what the file is.
func (exportTrail) Help() string {
	return `The trail goes to standard output: JSON, an entry on a line, and each signed checkpoint behind the last entry that it covers. It names records by their keys and digests, and says nothing of what they hold, nor of customers. Whoever has the file and a public key verifies it without the shop: tracewright verify trail.

  tracewright export trail --database sqlite:/srv/tracewright/shop.db > trail.jsonl`
}

// Run writes the trail as it is.
func (e *exportTrail) Run(ctx context.Context, std streams) error {
	s, err := e.existing(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := broughtUp(ctx, s); err != nil {
		return err
	}
	return sealing.New(s, sealing.Options{}).Export(ctx, time.Time{}, time.Time{}, std.out)
}
