package main

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/trail"
)

type exportTrail struct {
	databaseFlag
}

// Help says what the file is.
func (exportTrail) Help() string {
	return `The trail goes to standard output: JSON, an entry on a line, and each signed checkpoint behind the last entry that it covers. It names records by their keys and digests, and says nothing of what they hold, nor of customers. Whoever has the file and a public key verifies it without the shop: tracewright verify trail.

  tracewright export trail --database sqlite:/srv/tracewright/shop.db > trail.jsonl`
}

// Run writes the trail as it is at one moment.
func (e *exportTrail) Run(ctx context.Context, std streams) error {
	if err := e.isThere(); err != nil {
		return err
	}
	s, err := store.Open(ctx, e.Database, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	if _, err := s.Migrate(ctx); err != nil {
		return err
	}
	err = s.Freeze(ctx, func(frozen *store.Frozen) error { return writeTrail(frozen, trail.NewWriter(std.out)) })
	if err != nil {
		return fmt.Errorf("export the trail: %w", err)
	}
	return nil
}

// writeTrail writes entries in batches, and each checkpoint in its place.
func writeTrail(frozen *store.Frozen, out *trail.Writer) error {
	const atOnce = 1000
	var (
		points []models.Checkpoint
		last   models.Checkpoint
		none   bool
	)
	for from := int64(0); ; {
		entries, err := frozen.Sealed(from, atOnce)
		if err != nil {
			return err
		}
		if len(entries) == 0 {
			break
		}
		for _, e := range entries {
			sealed, err := e.Sealed()
			if err != nil {
				return err
			}
			out.Entry(sealed)
			from = sealed.Seq + 1
			for {
				if len(points) == 0 && !none {
					if points, err = frozen.Checkpoints(last, atOnce); err != nil {
						return err
					}
					if none = len(points) == 0; !none {
						last = points[len(points)-1]
					}
				}
				if len(points) == 0 || points[0].Size > from {
					break
				}
				out.Checkpoint(points[0].Signed())
				points = points[1:]
			}
		}
	}
	for _, c := range points { // They cover more than there is: whoever verifies is to know.
		out.Checkpoint(c.Signed())
	}
	unsealed, err := frozen.UnsealedCount()
	return errors.Join(err, out.Close(unsealed))
}
