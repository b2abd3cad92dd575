package specify_test

import (
	"testing"

	"tracewright/models/store/storetest"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// each runs f with the service over a small shop on each kind of database.
func each(t *testing.T, f func(t *testing.T, h *worktest.Shop, s *specify.Service)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) { f(t, h, specify.New(h.Store, h.Clock)) })
}
