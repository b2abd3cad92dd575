package life

import "sort"

// Expected is how many failures other units would have had by now, if they
// failed at each age as those of the curve did,
//
//	E = sum over units of H(age at failure, or now)
//
// with the cumulative hazard H of the curve (one-sample log-rank; Breslow,
// Applied Statistics 24, 1975). Units that are older than all of the curve are
// taken to its last age, where H ends; Beyond counts them. Of the units that the
// curve was drawn from, E is the number of their failures.
type Expected struct {
	Failures float64
	Beyond   int
}

// Expected works it out for units that are none of the curve's own.
func (c Curve) Expected(lives []Observation) (Expected, error) {
	if _, err := count(lives); err != nil {
		return Expected{}, err
	}
	var e Expected
	for _, l := range lives {
		e.Failures += float64(l.Count) * c.HazardAt(l.Time)
		if l.Time > c.Last {
			e.Beyond += l.Count
		}
	}
	return e, nil
}

// HazardAt is the cumulative hazard H of the curve at an age: what one unit of that
// age is expected to have had. Past the last age of the curve it stays what it was.
func (c Curve) HazardAt(age float64) float64 {
	at := sort.Search(len(c.Points), func(i int) bool { return c.Points[i].Time > age })
	if at == 0 {
		return 0
	}
	return c.Points[at-1].Hazard
}
