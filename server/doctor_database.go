package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/words"
)

// oldestPostgres is the oldest version of PostgreSQL that is tried; what its makers
// keep up may be newer still.
const oldestPostgres = 13

// database opens it and looks whether it is sound and set up so that nothing that
// was acknowledged is lost. It is nil where it cannot be opened, or is not this
// program's.
func (d *doctor) database(ctx context.Context) *store.Store {
	s, err := d.existing(ctx)
	var refused *models.RefusedError
	switch {
	case errors.As(err, &refused):
		d.remark("database", bad, refused.Reasons[0])
		return nil
	case err != nil:
		d.add("database", bad, "unreachable", "cause", err.Error())
		return nil
	}
	known, err := store.NewestSchema()
	var look models.DatabaseLook
	if err == nil {
		look, err = s.Look(ctx)
	}
	if err != nil {
		d.failed("database", err)
		s.Close()
		return nil
	}
	versions := []string{"n", fmt.Sprint(look.Schema), "most", fmt.Sprint(known)}
	switch {
	case look.Schema > known:
		d.add("database", bad, "schema_newer", versions...)
		s.Close()
		return nil
	case look.Schema < known:
		d.add("database", warning, "schema_older", versions...)
	}
	before := len(d.found)
	d.pages(ctx, s, look)
	if look.Dialect == store.Postgres {
		d.postgres(look)
	} else if look.Journal != "wal" {
		d.add("database", bad, "journal", "kind", look.Journal)
	}
	if len(d.found) == before {
		name := "SQLite"
		if look.Dialect == store.Postgres {
			name = "PostgreSQL"
		}
		d.add("database", good, "database", "kind", name+" "+look.Version, "n", fmt.Sprint(look.Schema), "size", words.Bytes(look.Size))
	}
	return s
}

func (d *doctor) pages(ctx context.Context, s *store.Store, look models.DatabaseLook) {
	found, err := s.QuickCheck(ctx)
	switch {
	case err != nil:
		d.failed("database", err)
	case len(found) > 0:
		d.add("database", bad, "damaged", "cause", strings.Join(found, "; "))
	case look.BrokenPages > 0:
		d.add("database", bad, "damaged", "cause", fmt.Sprintf("%d pages failed their checksum", look.BrokenPages))
	}
}

func (d *doctor) postgres(look models.DatabaseLook) {
	if len(look.Unsafe) > 0 {
		d.add("database", bad, "unsafe", "names", strings.Join(look.Unsafe, ", "))
	}
	if look.Encoding != "UTF8" {
		d.add("database", bad, "encoding", "kind", look.Encoding)
	}
	if look.Major < oldestPostgres {
		d.add("database", warning, "postgres_old", "kind", look.Version, "least", fmt.Sprint(oldestPostgres))
	}
	if look.Connections < look.Wants {
		d.add("database", warning, "connections", "n", fmt.Sprint(look.Connections), "most", fmt.Sprint(look.Wants))
	}
}
