package api

import (
	"context"
	"sync"

	"tracewright/models"
	"tracewright/server/httpx"
)

// cache remembers what never changes once made, so that an answer to a posted
// inspection costs no more questions: specifications, and names of families and
// products, which are found by id.
type cache struct {
	services       httpx.Services
	mu             sync.Mutex
	specifications map[string]models.Specification
	products       map[string]models.Product
	families       map[string]models.Family
}

// mostKept empties a map that has grown beyond what a shop has.
const mostKept = 4096

func newCache(services httpx.Services) *cache {
	return &cache{services: services, specifications: map[string]models.Specification{}, products: map[string]models.Product{}, families: map[string]models.Family{}}
}

// kept returns a remembered value, or finds it and remembers it.
func kept[T any](c *cache, in map[string]T, id string, find func() (T, error)) (T, error) {
	c.mu.Lock()
	value, ok := in[id]
	c.mu.Unlock()
	if ok {
		return value, nil
	}
	value, err := find()
	if err != nil {
		return value, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(in) >= mostKept {
		clear(in)
	}
	in[id] = value
	return value, nil
}

func (c *cache) specification(ctx context.Context, id string) (models.Specification, error) {
	return kept(c, c.specifications, id, func() (models.Specification, error) { return c.services.Specify.Specification(ctx, id) })
}

// productName is empty for a one-off item.
func (c *cache) productName(ctx context.Context, id *string) (string, error) {
	if id == nil {
		return "", nil
	}
	product, err := kept(c, c.products, *id, func() (models.Product, error) {
		view, err := c.services.Specify.Product(ctx, *id)
		return view.Product, err
	})
	return product.Name, err
}

func (c *cache) familyName(ctx context.Context, id *string) (string, error) {
	if id == nil {
		return "", nil
	}
	family, err := kept(c, c.families, *id, func() (models.Family, error) {
		view, err := c.services.Specify.Family(ctx, *id)
		return view.Family, err
	})
	return family.Name, err
}
