package stats

import "math/bits"

// random is chance with a seed. It is our own so that a stored seed gives the
// same figures in every version of the language: splitmix64 (Steele, Lea and
// Flood, OOPSLA 2014).
type random struct{ state uint64 }

func (r *random) next() uint64 {
	r.state += 0x9e3779b97f4a7c15
	z := r.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a whole number from 0 to n-1, each as likely as the others
// (Lemire, ACM Transactions on Modeling and Computer Simulation 29, 2019).
func (r *random) below(n int) int {
	size := uint64(n)
	high, low := bits.Mul64(r.next(), size)
	if low < size {
		for least := -size % size; low < least; {
			high, low = bits.Mul64(r.next(), size)
		}
	}
	return int(high)
}

// shuffle puts the values in random order, each order as likely as the others.
func shuffle[T any](chance *random, x []T) {
	for i := len(x) - 1; i > 0; i-- {
		j := chance.below(i + 1)
		x[i], x[j] = x[j], x[i]
	}
}
