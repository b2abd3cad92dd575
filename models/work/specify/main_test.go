package specify_test

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
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

// wantProblems compares the entries of an error, as "field: code", with those
// that are wanted, in any order. None wanted is no error wanted.
func wantProblems(t *testing.T, err error, want ...string) {
	t.Helper()
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		if err != nil || len(want) > 0 {
			t.Fatalf("error %v, want %v", err, want)
		}
		return
	}
	var got []string
	for _, p := range invalid.Problems {
		got = append(got, p.Field+": "+p.Code)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("problems %v, want %v", got, want)
	}
}
