package spc

import (
	"errors"
	"math/rand/v2"
	"testing"

	"tracewright/models/numbers/stats"
)

// Over many baselines the limits of both phases hold the share alpha exactly:
// one point of each baseline and one later point are looked at.
func TestFalseAlarmsOfT2(t *testing.T) {
	const charts, alpha = 8000, 0.01
	r := rand.New(rand.NewPCG(31, 5))
	draw := map[string]func() Input{
		"t2_individuals": func() Input { return Vectors{Values: vectors(r, 26), Alpha: alpha, Baseline: Baseline{Points: 25}} },
		"t2_subgroups": func() Input {
			return VectorSubgroups{Values: vectorGroups(r, 26, 3), Alpha: alpha, Baseline: Baseline{Points: 25}}
		},
	}
	for _, kind := range []string{"t2_individuals", "t2_subgroups"} {
		own, later := 0, 0
		for range charts {
			chart := plot(t, kind, draw[kind]())
			p := chart.Panels[0]
			if p.Points[0] > p.High[0] {
				own++
			}
			if p.Points[25] > p.High[25] {
				later++
			}
		}
		withinErrors(t, kind+", own", own, charts, alpha)
		withinErrors(t, kind+", later", later, charts, alpha)
	}
}

func TestT2Refuses(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 5))
	twins := vectors(r, 30)
	for _, row := range twins {
		row[1] = 2 * row[0]
	}
	still := vectors(r, 30)
	for _, row := range still {
		row[1] = 7
	}
	ragged := vectors(r, 30)
	ragged[4] = ragged[4][:1]
	for name, test := range map[string]struct {
		in  Vectors
		err error
	}{
		"results that go together":     {Vectors{Values: twins}, ErrSingular},
		"a result that does not vary":  {Vectors{Values: still}, ErrSingular},
		"rows of different lengths":    {Vectors{Values: ragged}, ErrSizesDiffer},
		"no more items than results":   {Vectors{Values: vectors(r, 3)}, stats.ErrTooFew},
		"a share of false alarms of 1": {Vectors{Values: vectors(r, 30), Alpha: 1}, ErrSetting},
		"rows of nothing":              {Vectors{Values: make([][]float64, 30)}, ErrSizesDiffer},
	} {
		if _, err := Plot("t2_individuals", test.in); !errors.Is(err, test.err) {
			t.Errorf("%s: %v; want %v", name, err, test.err)
		}
	}
}
