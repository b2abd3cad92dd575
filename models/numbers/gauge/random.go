package gauge

import "math"

// random is chance with a seed. It is our own so that a stored seed gives the
// same figures in every version of the language: splitmix64 (Steele, Lea and
// Flood, OOPSLA 2014).
type random struct {
	state uint64
	spare float64 // The second of a pair of normal numbers.
	kept  bool
}

func newRandom(seed uint64) *random { return &random{state: seed} }

func (r *random) next() uint64 {
	r.state += 0x9e3779b97f4a7c15
	z := r.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// uniform returns a number between 0 and 1, neither of them.
func (r *random) uniform() float64 { return (float64(r.next()>>11) + 0.5) / (1 << 53) }

// normal returns a standard normal number by the polar method of Marsaglia and
// Bray (SIAM Review 6, 1964).
func (r *random) normal() float64 {
	if r.kept {
		r.kept = false
		return r.spare
	}
	for {
		x, y := 2*r.uniform()-1, 2*r.uniform()-1
		square := x*x + y*y
		if square >= 1 || square == 0 {
			continue
		}
		factor := math.Sqrt(-2 * math.Log(square) / square)
		r.spare, r.kept = y*factor, true
		return x * factor
	}
}
