package store_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// Whatever period and number of points is asked for, from either end: what comes is
// what is left of the whole series when the rest is cut off.
func TestSeriesOfPeriods(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		h := worktest.On(t, storetest.Open(t, dsn))
		f := fillResults(t, dsn, h, 20_000)
		chance := rand.New(rand.NewPCG(3, 4))
		for _, q := range []models.SeriesQuery{
			{FamilyID: f.family}, {FamilyID: f.family, Place: "stand 1"}, {FamilyID: f.family, ProductID: f.product},
			{FamilyID: f.family, ProductID: f.product, Place: "stand 2"}, {FamilyID: f.family, ProductID: f.product, Place: "stand 9"},
		} {
			q.Result, q.FirstSets = "lateral_tir", true
			whole := must(h.Store.Series(t.Context(), q))
			if q.Place != "stand 9" && len(whole) < 100 {
				t.Fatalf("%d points of %+v", len(whole), q)
			}
			for range 40 {
				asked := q
				asked.Limit, asked.Oldest = 1+chance.IntN(300), chance.IntN(2) == 0
				moment := func() time.Time {
					if len(whole) > 0 && chance.IntN(2) == 0 {
						return whole[chance.IntN(len(whole))].MeasuredAt // the very moment of a point
					}
					return models.Moment(f.end.Add(-time.Duration(chance.IntN(200*24)) * time.Hour))
				}
				if chance.IntN(3) > 0 {
					asked.From = moment()
				}
				if chance.IntN(3) > 0 {
					asked.To = moment()
				}
				want := slices.DeleteFunc(slices.Clone(whole), func(p models.SeriesPoint) bool {
					return p.MeasuredAt.Before(asked.From) || !asked.To.IsZero() && !p.MeasuredAt.Before(asked.To)
				})
				if n := len(want) - asked.Limit; n > 0 && asked.Oldest {
					want = want[:asked.Limit]
				} else if n > 0 {
					want = want[n:]
				}
				got := must(h.Store.Series(t.Context(), asked))
				if !slices.Equal(idsOf(got), idsOf(want)) {
					t.Fatalf("%+v: %d points, want %d", asked, len(got), len(want))
				}
			}
		}
	})
}

func idsOf(points []models.SeriesPoint) []string {
	ids := make([]string, len(points))
	for i, p := range points {
		ids[i] = p.InspectionID
	}
	return ids
}
