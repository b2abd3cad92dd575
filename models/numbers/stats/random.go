package stats

import (
	"math"
	"math/bits"
)

// Random is chance with a seed. It is our own so that a stored seed gives the
// same figures in every version of the language: splitmix64 (Steele, Lea and
// Flood, OOPSLA 2014).
type Random struct {
	state uint64
	spare float64 // The second of a pair of normal numbers.
	kept  bool
}

// NewRandom begins a sequence; the same seed gives the same one.
func NewRandom(seed uint64) *Random { return &Random{state: seed} }

func (r *Random) next() uint64 {
	r.state += 0x9e3779b97f4a7c15
	z := r.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Uniform returns a number between 0 and 1, neither of them.
func (r *Random) Uniform() float64 { return (float64(r.next()>>11) + 0.5) / (1 << 53) }

// Normal returns a standard normal number by the polar method of Marsaglia and
// Bray (SIAM Review 6, 1964).
func (r *Random) Normal() float64 {
	if r.kept {
		r.kept = false
		return r.spare
	}
	for {
		x, y := 2*r.Uniform()-1, 2*r.Uniform()-1
		square := x*x + y*y
		if square >= 1 || square == 0 {
			continue
		}
		factor := math.Sqrt(-2 * math.Log(square) / square)
		r.spare, r.kept = y*factor, true
		return x * factor
	}
}

// Below returns a whole number from 0 to n-1, each as likely as the others
// (Lemire, ACM Transactions on Modeling and Computer Simulation 29, 2019).
func (r *Random) Below(n int) int {
	size := uint64(n)
	high, low := bits.Mul64(r.next(), size)
	if low < size {
		for least := -size % size; low < least; {
			high, low = bits.Mul64(r.next(), size)
		}
	}
	return int(high)
}

// Shuffle puts the values in random order, each order as likely as the others.
func Shuffle[T any](chance *Random, x []T) {
	for i := len(x) - 1; i > 0; i-- {
		j := chance.Below(i + 1)
		x[i], x[j] = x[j], x[i]
	}
}
