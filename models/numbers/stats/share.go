package stats

// Share is k of n with its exact 95 % interval (Clopper and Pearson, Biometrika 26,
// 1934); Few where there are too few for one to be told.
type Share struct {
	K, N     int
	Interval Interval
	Few      bool
}

// ShareOf is k of n; fewer than least are few. Of none there is no interval. The
// errors are those of [ProportionIntervalsOf].
func ShareOf(k, n, least int) (Share, error) {
	s := Share{K: k, N: n, Few: n < least}
	if n == 0 {
		return s, nil
	}
	i, err := ProportionIntervalsOf(k, n, 0.95)
	s.Interval = i.Exact
	return s, err
}
