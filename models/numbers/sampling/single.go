package sampling

import (
	"math"

	"tracewright/models/numbers/stats"
)

// Single is a single sampling plan by attributes: take Size pieces, accept the
// lot with Accept or fewer nonconforming ones among them.
type Single struct {
	Size   int // At least 1, at most [MaxSample].
	Accept int // From 0 to Size.
}

// Reject is the rejection number: this many nonconforming ones or more.
func (s Single) Reject() int { return s.Accept + 1 }

// Check refuses a plan that cannot be.
func (s Single) Check() error {
	if err := checkWhole("n", s.Size, 1, MaxSample); err != nil {
		return err
	}
	// Counting nonconformities, the tables have numbers above the size; an
	// operating characteristic by pieces has none there.
	return checkWhole("c", s.Accept, 0, s.Size)
}

// Binomial returns the probability of acceptance when a fraction p of a long
// series is nonconforming: P(X <= Accept) for X binomial of Size and p, the
// type B operating characteristic.
func (s Single) Binomial(p float64) (float64, error) {
	if err := s.Check(); err != nil {
		return 0, err
	}
	if err := checkFraction("p", p); err != nil {
		return 0, err
	}
	return stats.BinomialBelow(float64(s.Accept), float64(s.Size), p)
}

// Poisson returns the probability of acceptance by the Poisson distribution of
// mean Size times rate, for nonconformities that are counted, of which a piece
// may have several, or as the old approximation to the binomial. The
// acceptance number may be above the size.
func (s Single) Poisson(rate float64) (float64, error) {
	if err := checkWhole("n", s.Size, 1, MaxSample); err != nil {
		return 0, err
	}
	if err := checkWhole("c", s.Accept, 0, MaxSample); err != nil {
		return 0, err
	}
	if !(rate >= 0 && rate <= 1000) {
		return 0, refuse("p", rate, "must lie from 0 to 1000")
	}
	return stats.PoissonBelow(float64(s.Accept), float64(s.Size)*rate)
}

// Hypergeometric returns the probability of acceptance of one lot of known
// size with a known number of nonconforming pieces in it, the type A operating
// characteristic.
func (s Single) Hypergeometric(lot, nonconforming int) (float64, error) {
	if err := s.Check(); err != nil {
		return 0, err
	}
	if err := checkLot(lot, nonconforming); err != nil {
		return 0, err
	}
	if s.Size > lot {
		return 0, refuse("n", s.Size, "must not be above the lot")
	}
	return stats.HypergeometricBelow(float64(s.Accept), float64(lot), float64(nonconforming), float64(s.Size))
}

func checkLot(lot, nonconforming int) error {
	if err := checkWhole("lot", lot, 1, MaxLot); err != nil {
		return err
	}
	return checkWhole("nonconforming", nonconforming, 0, lot)
}

// QualityAt returns the fraction nonconforming that is accepted with
// probability pa by [Single.Binomial]: the p with pa = 1 - I_p(Accept+1,
// Size-Accept), a quantile of the beta distribution (Abramowitz and Stegun,
// 26.5.24). A plan that accepts everything has none.
func (s Single) QualityAt(pa float64) (float64, error) {
	if err := s.Check(); err != nil {
		return 0, err
	}
	if err := checkRisk("pa", pa); err != nil {
		return 0, err
	}
	if s.Accept == s.Size {
		return 0, refuse("c", s.Accept, "must be below n, or everything is accepted")
	}
	// Read from the other end where the upper tail is the smaller one.
	if pa < 0.5 {
		good, err := stats.BetaQuantile(pa, float64(s.Size-s.Accept), float64(s.Accept+1))
		return 1 - good, err
	}
	return stats.BetaQuantile(1-pa, float64(s.Accept+1), float64(s.Size-s.Accept))
}

// Outgoing is what leaves inspection when rejected lots are sorted piece by
// piece and every nonconforming piece found is replaced by a good one.
type Outgoing struct {
	Fraction  float64 // Average outgoing quality (AOQ), the fraction nonconforming that is left.
	Inspected float64 // Average total inspection (ATI), pieces a lot.
}

// Outgoing returns the average outgoing quality and the average total
// inspection at a fraction p nonconforming,
//
//	AOQ = Pa p (N - n)/N,   ATI = n + (1 - Pa)(N - n),
//
// with Pa of [Single.Binomial] (NIST/SEMATECH e-Handbook, 6.2.3.2; Montgomery,
// Statistical Quality Control, chapter on lot-by-lot acceptance sampling).
func (s Single) Outgoing(lot int, p float64) (Outgoing, error) {
	pa, err := s.Binomial(p)
	if err != nil {
		return Outgoing{}, err
	}
	left, err := s.left(lot)
	if err != nil {
		return Outgoing{}, err
	}
	return Outgoing{
		Fraction:  pa * p * left / float64(lot),
		Inspected: float64(s.Size) + (1-pa)*left,
	}, nil
}

// OutgoingLimit returns the average outgoing quality limit (AOQL), the worst
// that [Outgoing] lets through on average whatever comes in, and the incoming
// fraction at which it does. There the slope of p Pa is nothing:
//
//	Pa(p) = n p b(c; n-1, p),
//
// b the binomial probability of exactly c. The logarithm of p Pa is concave, so
// that there is one such place.
func (s Single) OutgoingLimit(lot int) (limit, at float64, err error) {
	if err := s.Check(); err != nil {
		return 0, 0, err
	}
	if _, err := s.left(lot); err != nil {
		return 0, 0, err
	}
	low, high := 0., 1.
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		rising, err := s.rising(middle)
		if err != nil {
			return 0, 0, err
		}
		if rising {
			low = middle
		} else {
			high = middle
		}
	}
	worst, err := s.Outgoing(lot, low)
	return worst.Fraction, low, err
}

// rising reports whether p Pa(p) still grows at p.
func (s Single) rising(p float64) (bool, error) {
	pa, err := s.Binomial(p)
	if err != nil || s.Accept == s.Size {
		return true, err
	}
	// n p b(c; n-1, p) = (c+1) b(c+1; n, p), the difference of two tails.
	more, err := stats.BinomialBelow(float64(s.Accept+1), float64(s.Size), p)
	if err != nil {
		return false, err
	}
	return pa > float64(s.Accept+1)*(more-pa), nil
}

// left returns the pieces of the lot that the sample leaves.
func (s Single) left(lot int) (float64, error) {
	if err := checkWhole("lot", lot, 1, MaxLot); err != nil {
		return 0, err
	}
	if s.Size > lot {
		return 0, refuse("n", s.Size, "must not be above the lot")
	}
	return math.Max(0, float64(lot-s.Size)), nil
}
