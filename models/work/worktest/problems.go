package worktest

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
)

// WantProblems compares the entries of an error, as "field: code", with those
// that are wanted, in any order. None wanted is no error wanted.
func WantProblems(t *testing.T, err error, want ...string) {
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
