package store

import (
	"context"
	"fmt"
	"sync"

	"tracewright/models"
)

// fixedRecords keeps records that never change once written, by their keys, so
// that the same specification is not read and decoded for every inspection.
// Which revision is in force is always asked anew: what is kept here cannot be
// stale.
type fixedRecords struct {
	specifications sync.Map // id -> models.Specification
	revisions      sync.Map // productRevisionKey -> models.ProductRevision
}

type productRevisionKey struct {
	product  string
	revision int
}

// mostFixed bounds what is kept; a shop has a few hundred revisions in all its
// years, so the bound is never met in earnest.
const mostFixed = 4096

// Specification finds one by id.
func (s *Store) Specification(ctx context.Context, id string) (models.Specification, error) {
	if kept, ok := s.fixed.specifications.Load(id); ok {
		return kept.(models.Specification), nil
	}
	spec, err := first[models.Specification](ctx, s, "find specification "+id, "id = ?", id)
	if err == nil {
		keep(&s.fixed.specifications, id, spec)
	}
	return spec, err
}

// ProductRevision finds one revision of a product's form.
func (s *Store) ProductRevision(ctx context.Context, productID string, revision int) (models.ProductRevision, error) {
	key := productRevisionKey{productID, revision}
	if kept, ok := s.fixed.revisions.Load(key); ok {
		return kept.(models.ProductRevision), nil
	}
	r, err := first[models.ProductRevision](ctx, s, fmt.Sprintf("find revision %d of product %s", revision, productID), "product_id = ? AND revision = ?", productID, revision)
	if err == nil {
		keep(&s.fixed.revisions, key, r)
	}
	return r, err
}

func keep(in *sync.Map, key, record any) {
	n := 0
	in.Range(func(any, any) bool { n++; return n < mostFixed })
	if n >= mostFixed {
		in.Clear()
	}
	in.Store(key, record)
}
