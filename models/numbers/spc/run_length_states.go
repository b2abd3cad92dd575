package spc

import "math/bits"

// memory is what a set of run rules has to know of the points so far to judge
// the next one: for each rule two words (of counting rules the window of each
// side; of rules of moves the way of the last move and how many in a row went on
// as the rule has it), and at the end the zone of the last point, counted from
// 1, where a rule speaks of moves.
type memory [2*9 + 1]uint16

const lastZone = len(memory{}) - 1

// Moves as they stand in a memory.
const (
	noMove uint16 = iota
	moveUp
	moveDown
)

// alarm stands for the state after a signal, which a run does not leave.
const alarm = -1

// states is a set of run rules as a Markov chain (Champ and Woodall,
// Technometrics 29, 1987): every memory that can be reached without a signal,
// and where each next point leads. State 0 is the start, before any point.
type states struct {
	zones []zone
	// moves: a rule speaks of the order of points, so that where a point lies in
	// its zone counts too.
	moves bool
	// next has one row a state: for each zone of the next point the state that
	// follows, or alarm. With moves, a next point in the zone of the last leads
	// to the column of the zone when it is above it, and to one column more, at
	// the end, when it is below.
	next [][]int32
	last []int // The zone of the last point, or noZone.
}

// statesOf builds the chain of a set of rules, state by state as they are reached.
func statesOf(rules []RunRule) states {
	c := states{zones: zonesOf(rules)}
	for _, r := range rules {
		c.moves = c.moves || r.Pattern == PatternTrend || r.Pattern == PatternAlternation
	}
	ids := map[memory]int32{{}: 0}
	reached := []memory{{}}
	for at := 0; at < len(reached); at++ {
		here := reached[at]
		follow := func(z int, move uint16) int32 {
			then, signal := here.after(rules, c.zones[z], move)
			if signal {
				return alarm
			}
			if c.moves {
				then[lastZone] = uint16(z + 1)
			}
			id, known := ids[then]
			if !known {
				id = int32(len(reached))
				ids[then] = id
				reached = append(reached, then)
			}
			return id
		}
		last := int(here[lastZone]) - 1
		row := make([]int32, 0, len(c.zones)+1)
		for z := range c.zones {
			move := noMove
			switch {
			case last < 0:
			case z >= last:
				move = moveUp
			default:
				move = moveDown
			}
			row = append(row, follow(z, move))
		}
		if last >= 0 {
			row = append(row, follow(last, moveDown))
		}
		c.next, c.last = append(c.next, row), append(c.last, last)
	}
	return c
}

// after returns the memory one point further, and whether a rule is met there.
func (m memory) after(rules []RunRule, z zone, move uint16) (memory, bool) {
	var then memory
	for i, r := range rules {
		var signal bool
		if r.Pattern == PatternTrend || r.Pattern == PatternAlternation {
			then[2*i], then[2*i+1], signal = r.afterMove(m[2*i], m[2*i+1], move)
		} else {
			for s, side := range r.sides() {
				window := m[2*i+s] << 1
				if z.counts(r, side) {
					window |= 1
				}
				signal = signal || bits.OnesCount16(window) >= r.Need
				then[2*i+s] = r.remembered(window)
			}
		}
		if signal {
			return memory{}, true
		}
	}
	return then, false
}

// afterMove carries on the way of the last move and how many in a row went on as
// the rule has it.
func (r RunRule) afterMove(way, run, move uint16) (uint16, uint16, bool) {
	switch {
	case move == noMove:
		return noMove, 0, false
	case run > 0 && (way == move) == (r.Pattern == PatternTrend):
		run++
	default:
		run = 1
	}
	return move, run, int(run) >= r.Need-1
}

// remembered drops from a window, newest point in the lowest bit, what can no
// longer help to meet the rule: the oldest points that would leave the window
// before enough others could join them.
func (r RunRule) remembered(window uint16) uint16 {
	window &= 1<<(r.Of-1) - 1
	for age := r.Of - 1; age >= 1; age-- {
		bit := uint16(1) << (age - 1)
		if window&bit == 0 {
			continue
		}
		younger := bits.OnesCount16(window & (bit - 1))
		if 1+younger+r.Of-age >= r.Need {
			break
		}
		window &^= bit
	}
	return window
}
