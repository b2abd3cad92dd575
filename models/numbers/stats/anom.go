package stats

import (
	"fmt"
	"math"
)

// CommonLimits are the limits of an analysis of means: which groups differ from
// the mean of all.
type CommonLimits struct {
	Mean float64 // Of all values.
	// Sigma is the standard deviation of one value, DF its degrees of freedom,
	// infinite when it follows from the mean.
	Sigma, DF float64
	// Factor is the h of the limits, Exact whether it has the level alpha to the
	// last digit or is on the safe side.
	Factor float64
	Exact  bool
	Groups []GroupAgainstMean
	// SmallCounts: of shares, a group in which fewer than 5 are expected with or
	// without, so that its limits are rough.
	SmallCounts bool
}

// GroupAgainstMean is one group with its limits, mean -+ h sigma sqrt((N-n)/(N n)).
type GroupAgainstMean struct {
	Mean      float64
	Low, High float64
	Outside   bool // Strictly.
}

// MeansAgainstAll compares the means of at least two groups, more values than
// groups, with the mean of all at the level alpha for all of them together, from
// 0.000001 to 0.5 (Ott, Industrial Quality Control 24, 1967; Nelson, Wludyka and
// Copeland, The Analysis of Means, 2005). Sigma is pooled within the groups.
func MeansAgainstAll(groups [][]float64, alpha float64) (CommonLimits, error) {
	a, err := OneWay(groups)
	if err != nil {
		return CommonLimits{}, err
	}
	sizes := make([]float64, len(groups))
	for i, group := range groups {
		sizes[i] = float64(len(group))
	}
	return commonLimits(a.Means, sizes, a.Mean, a.ResidualSD, a.DFWithin, alpha)
}

// ProportionsAgainstAll compares the shares x[i] of n[i] of at least two groups
// with their pooled share p. Sigma is sqrt(p(1-p)) with infinite degrees of
// freedom, which wants n p and n(1-p) of 5 or more ([CommonLimits.SmallCounts]
// where they are not); limits are cut to 0 and 1.
func ProportionsAgainstAll(x, n []int, alpha float64) (CommonLimits, error) {
	if err := checkCounts(x, n, 2); err != nil {
		return CommonLimits{}, err
	}
	shares, sizes := make([]float64, len(n)), make([]float64, len(n))
	var bad, all float64
	for i := range n {
		shares[i], sizes[i] = float64(x[i])/float64(n[i]), float64(n[i])
		bad, all = bad+float64(x[i]), all+float64(n[i])
	}
	if bad == 0 || bad == all {
		return CommonLimits{}, about("x", fmt.Errorf("none or all of them: %w", ErrNoSpread))
	}
	p := bad / all
	limits, err := commonLimits(shares, sizes, p, math.Sqrt(p*(1-p)), math.Inf(1), alpha)
	if err != nil {
		return CommonLimits{}, err
	}
	for i := range limits.Groups {
		g := &limits.Groups[i]
		g.Low, g.High = max(g.Low, 0), min(g.High, 1)
		limits.SmallCounts = limits.SmallCounts || sizes[i]*min(p, 1-p) < 5
	}
	return limits, nil
}

func commonLimits(means, sizes []float64, mean, sigma, df, alpha float64) (CommonLimits, error) {
	h, exact, err := AnomFactor(sizes, df, alpha)
	if err != nil {
		return CommonLimits{}, err
	}
	all := Sum(sizes)
	limits := CommonLimits{Mean: mean, Sigma: sigma, DF: df, Factor: h, Exact: exact, Groups: make([]GroupAgainstMean, len(means))}
	for i, n := range sizes {
		half := h * sigma * math.Sqrt((all-n)/(all*n))
		limits.Groups[i] = GroupAgainstMean{
			Mean: means[i], Low: mean - half, High: mean + half,
			Outside: math.Abs(means[i]-mean) > half,
		}
		if _, err := finite("limit", half); err != nil {
			return CommonLimits{}, about("groups", err)
		}
	}
	return limits, nil
}

const (
	// mostExactGroups and mostExactSizes bound where the factor is exact; beyond
	// them the safe one costs less than a second and little width.
	mostExactGroups = 500
	mostExactSizes  = 12
)

// AnomFactor returns the h that the largest of |group mean - mean of all|, each
// in its own standard errors, exceeds with probability alpha, and whether it is
// exact for groups of these sizes. df belongs to the standard deviation and may
// be infinite.
//
// The standardised differences have a multivariate t distribution with the
// correlations -sqrt(n_i n_j/((N-n_i)(N-n_j))); for equal groups these are all
// -1/(k-1) (Nelson, Journal of Quality Technology 14, 1982). Where the sizes are
// very many, h is that of independent differences, the studentised maximum
// modulus, which is larger (Nelson, Technometrics 25, 1983).
func AnomFactor(sizes []float64, df, alpha float64) (h float64, exact bool, err error) {
	if !(alpha >= 1e-6 && alpha <= 0.5) {
		return 0, false, outside("alpha", alpha, "must be from 0.000001 to 0.5")
	}
	if len(sizes) < 2 || len(sizes) > MostGroups {
		return 0, false, outside("groups", len(sizes), "groups: there must be 2 to 10000")
	}
	if !(df >= 1) {
		return 0, false, outside("degrees of freedom", df, "must be 1 or more")
	}
	low, err := TQuantile(1-alpha/2, df)
	if err != nil {
		return 0, false, err
	}
	if len(sizes) == 2 {
		return low, true, nil // The two differences are one.
	}
	high, err := TQuantile(1-alpha/(2*float64(len(sizes))), df)
	if err != nil {
		return 0, false, err
	}
	parts := partsOf(sizes)
	exact = len(sizes) <= mostExactGroups && len(parts) <= mostExactSizes
	within := func(reach float64) float64 { return differencesWithin(reach, parts) }
	if !exact {
		within = func(reach float64) float64 {
			return math.Exp(float64(len(sizes)) * math.Log1p(-2*NormalAbove(reach)))
		}
	}
	h = zeroBetween(func(h float64) float64 {
		if math.IsInf(df, 1) {
			return within(h) - (1 - alpha)
		}
		var sum float64
		for _, s := range spreadNodes(df, 1, 0.3/h, 1/h, 2/h, 3/h, 5/h, 9/h) {
			reach := h * s.at
			switch {
			case reach > 9: // Nothing is left out there.
				sum += s.weight
			case s.weight > 1e-14:
				sum += s.weight * within(reach)
			}
		}
		return sum - (1 - alpha)
	}, low, high)
	h, err = finite("h", h)
	return h, exact, err
}

// part is a share of all values, and how many groups have that share: each
// group's mean is weight = sqrt(n/N) times a standard normal value.
type part struct {
	weight float64
	count  int
}

func partsOf(sizes []float64) []part {
	all := Sum(sizes)
	var parts []part
next:
	for _, n := range sizes {
		w := math.Sqrt(n / all)
		for i := range parts {
			if parts[i].weight == w {
				parts[i].count++
				continue next
			}
		}
		parts = append(parts, part{w, 1})
	}
	return parts
}

// differencesWithin returns the probability that every |Z_i - w_i Y| is at most
// reach sqrt(1-w_i^2), Y = sum(w_i Z_i), for independent standard normal Z. The
// differences do not depend on Y, so Y may be taken as 0, and what is asked for
// is the density at 0 of the sum of Z cut at reach sqrt(1-w_i^2), which Fourier
// inversion gives:
//
//	P = sqrt(2/pi) integral over t > 0 of product(g_i(w_i t)), g_i(t) = integral of the normal density cos(t z) over the cut range.
//
// With three groups the product falls off too slowly, and the density is a
// single integral.
func differencesWithin(reach float64, parts []part) float64 {
	groups := 0
	for _, p := range parts {
		groups += p.count
	}
	if groups == 3 {
		return threeWithin(reach, parts)
	}
	// Beyond far the product is below about (1/(w t))^groups, and it swings
	// slower the smaller the cut.
	far, width := 60., 1.5
	if groups > 8 {
		far, width = 25, 0.75
	}
	if reach < 0.5 {
		far, width = far*4, width*2
	}
	var sum float64
	for from := 0.; from < far; from += width {
		var panel, largest float64
		for j := range panelNodes {
			t := from + width/2*(1+legendre.at[j])
			product := 1.
			for _, p := range parts {
				g := cutTransform(reach*math.Sqrt(1-p.weight*p.weight), p.weight*t)
				product *= math.Pow(g, float64(p.count))
			}
			panel += width / 2 * legendre.weight[j] * product
			largest = max(largest, math.Abs(product))
		}
		sum += panel
		if largest < 1e-15 {
			break
		}
	}
	return min(max(math.Sqrt(2/math.Pi)*sum, 0), 1)
}

// threeWithin is [differencesWithin] for three groups: Z_3 follows from Z_1 and
// Z_2, and the integral over Z_2 is one of the normal density.
func threeWithin(reach float64, parts []part) float64 {
	var w []float64
	for _, p := range parts {
		for range p.count {
			w = append(w, p.weight)
		}
	}
	cut := func(i int) float64 { return reach * math.Sqrt(1-w[i]*w[i]) }
	a := 1 + w[1]*w[1]/(w[2]*w[2])
	turn := (w[2]*cut(2) - w[1]*cut(1)) / w[0] // Where the limit of Z_2 is Z_3's.
	var sum float64
	for _, z := range nodesBetween(-cut(0), cut(0), 2, -turn, 0, turn) {
		low := max(-cut(1), (-w[2]*cut(2)-w[0]*z.at)/w[1])
		high := min(cut(1), (w[2]*cut(2)-w[0]*z.at)/w[1])
		if high <= low {
			continue
		}
		shift := w[0] * w[1] * z.at / (w[2] * w[2]) / a
		rest := w[0]*w[0]*z.at*z.at/(w[2]*w[2]) - a*shift*shift
		inner := NormalBelow(math.Sqrt(a)*(high+shift)) - NormalBelow(math.Sqrt(a)*(low+shift))
		sum += z.weight * NormalDensity(z.at) * math.Exp(-rest/2) * inner
	}
	return min(sum/(w[2]*math.Sqrt(a)), 1)
}
