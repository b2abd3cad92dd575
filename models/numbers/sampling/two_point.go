package sampling

import (
	"errors"
	"fmt"
	"sort"

	"tracewright/models/numbers/stats"
)

// MaxDesign bounds the samples that [TwoPoint] tries.
const MaxDesign = 20_000

// ErrNoPlan: no sample of [MaxDesign] or fewer keeps both risks.
var ErrNoPlan = errors.New("no plan of 20000 pieces or fewer keeps both risks")

// Risks are the two points an operating characteristic has to pass: quality
// Good is rejected with probability Producer at most, quality Bad accepted with
// probability Consumer at most.
type Risks struct {
	Good, Producer float64
	Bad, Consumer  float64
}

func (r Risks) check() error {
	for _, value := range []struct {
		name  string
		value float64
	}{{"p1", r.Good}, {"alpha", r.Producer}, {"p2", r.Bad}, {"beta", r.Consumer}} {
		if err := checkRisk(value.name, value.value); err != nil {
			return err
		}
	}
	if r.Bad <= r.Good {
		return refuse("p2", r.Bad, "must be above p1")
	}
	if r.Consumer >= 1-r.Producer {
		return refuse("beta", r.Consumer, "must be below 1 - alpha")
	}
	return nil
}

// TwoPoint returns the single plan for two risks: the smallest acceptance number
// c for which the smallest n with Pa(Bad) <= Consumer also has
// Pa(Good) >= 1 - Producer, both binomial (the search of Guenther, Journal of
// Quality Technology 1, 1969).
func TwoPoint(r Risks) (Single, error) {
	if err := r.check(); err != nil {
		return Single{}, err
	}
	good, bad := below{p: r.Good}, below{p: r.Bad}
	// One more that is let through costs about 1/p pieces.
	stride := 1 + int(min(1/r.Bad, MaxDesign))
	for plan := (Single{}); ; plan.Accept++ {
		keeps := func(n int) bool {
			bad.n = n
			return bad.at(plan.Accept) <= r.Consumer*(1+slack)
		}
		low, high := plan.Size, plan.Size+stride
		for high < MaxDesign && !keeps(high) {
			low, high = high, high+2*(high-low)
		}
		plan.Size = low + 1 + sort.Search(min(high, MaxDesign)-low-1, func(i int) bool { return keeps(low + 1 + i) })
		if !keeps(plan.Size) {
			return Single{}, &stats.ArgumentError{Argument: "p2", Err: fmt.Errorf("%v against p1 %v: %w", r.Bad, r.Good, ErrNoPlan)}
		}
		good.n = plan.Size
		if good.at(plan.Accept) >= (1-r.Producer)*(1-slack) {
			return plan, firstOf(good.err, bad.err)
		}
		if err := firstOf(good.err, bad.err); err != nil {
			return Single{}, err
		}
	}
}
