package pack

// maxDivisions is how many ways of dividing two packs are all tried; with larger
// packs only exchanges of one block are.
const maxDivisions = 2000

// polish improves a layout until no division of two packs, and no exchange with
// what is left over, is better, or until the effort is spent.
func (m *matcher) polish(l layout, packs, effort int) {
	divide := divisions(m.k) <= maxDivisions
	spent := 0
	for improved := true; improved; {
		improved = false
		for p := range packs {
			for q := range p {
				if m.lotOf[l[p*m.k]] != m.lotOf[l[q*m.k]] {
					continue
				}
				a, b := l[p*m.k:(p+1)*m.k], l[q*m.k:(q+1)*m.k]
				var better bool
				if divide {
					better = m.divide(a, b, &spent)
				} else {
					better = m.trade(a, b, &spent)
				}
				improved = improved || better
			}
			if m.takeLeft(l, packs, p, &spent) {
				improved = true
			}
			if spent > effort {
				return
			}
		}
	}
}

// divisions is the number of ways of dividing 2k blocks into two packs of k:
// the first block, and k-1 of the 2k-1 others.
func divisions(k int) int {
	ways := 1
	for i := 1; i < k && ways <= maxDivisions; i++ {
		ways = ways * (k + i) / i // C(k+i, i) step by step, up to C(2k-1, k-1)
	}
	return ways
}

// divide finds the best division of two packs.
func (m *matcher) divide(a, b []int, spent *int) bool {
	best := m.add(m.add(score{}, a), b)
	both := append(append(make([]int, 0, 2*m.k), a...), b...)
	x, y := make([]int, 0, m.k), make([]int, 0, m.k)
	improved := false
	packsOf(1<<(2*m.k)-2, m.k-1, 1, func(set uint32) bool {
		x, y = x[:0], y[:0]
		for i, block := range both {
			if set>>i&1 == 1 {
				x = append(x, block)
			} else {
				y = append(y, block)
			}
		}
		*spent += 2 * m.k
		if s := m.add(m.add(score{}, x), y); s.compare(best) < 0 {
			best, improved = s, true
			copy(a, x)
			copy(b, y)
		}
		return true
	})
	return improved
}

// trade exchanges single blocks of two packs while that is better.
func (m *matcher) trade(a, b []int, spent *int) bool {
	best := m.add(m.add(score{}, a), b)
	improved := false
	for i := range a {
		for j := range b {
			a[i], b[j] = b[j], a[i]
			*spent += 2 * m.k
			if s := m.add(m.add(score{}, a), b); s.compare(best) < 0 {
				best, improved = s, true
			} else {
				a[i], b[j] = b[j], a[i]
			}
		}
	}
	return improved
}

// takeLeft exchanges blocks of a pack for some that are left over while that is
// better.
func (m *matcher) takeLeft(l layout, packs, p int, spent *int) bool {
	members := l[p*m.k : (p+1)*m.k]
	best := m.add(score{}, members)
	improved := false
	for i := range members {
		for j := packs * m.k; j < len(l); j++ {
			if m.lotOf[l[j]] != m.lotOf[members[i]] {
				continue
			}
			members[i], l[j] = l[j], members[i]
			*spent += m.k
			if s := m.add(score{}, members); s.compare(best) < 0 {
				best, improved = s, true
			} else {
				members[i], l[j] = l[j], members[i]
			}
		}
	}
	return improved
}
