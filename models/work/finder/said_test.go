package finder_test

import (
	"context"
	"testing"

	"tracewright/models"
	"tracewright/models/work/finder"
	"tracewright/models/work/worktest"
)

// twice is the same work done in two families.
type twice struct{ *invented }

func (twice) Families(context.Context) ([]models.Family, error) {
	return []models.Family{{ID: "family-1", Name: "Rear wheels", Kind: models.KindWheel}, {ID: "family-2", Name: "Front wheels", Kind: models.KindWheel}}, nil
}

// A stand that reads a third higher in two families is told to a review once, with how
// often it was found besides, and not at all of days that nothing was read on.
func TestAReviewIsToldAThingOnce(t *testing.T) {
	s := finder.New(twice{invent(1, func(stand string, _ int) float64 {
		if stand == "stand 2" {
			return 0.33
		}
		return 0
	})}, clock, worktest.Zone)
	defer s.Close()
	a, err := s.Find(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Findings) < 2 {
		t.Fatalf("found %d times, so that there is nothing to gather", len(a.Findings))
	}
	said, err := s.Said(t.Context(), now.AddDate(0, 0, -170), now)
	if err != nil {
		t.Fatal(err)
	}
	whole := 0
	for _, x := range said {
		if x.Values["cut_name"] == "stand 2" && x.Values["effect"] != "" {
			whole++
		}
	}
	if whole != 1 || len(said) != 2*len(a.Matters()) || said[1].Code != "difference_also_one" || said[1].Values["count"] != "1" {
		t.Errorf("%d findings are told %d times: %+v", len(a.Findings), whole, said)
	}
	if said, err := s.Said(t.Context(), now.AddDate(-2, 0, 0), now.AddDate(-1, 0, 0)); err != nil || len(said) != 0 {
		t.Errorf("of a time before anything was read: %+v, %v", said, err)
	}
}
