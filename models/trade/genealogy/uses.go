package genealogy

import (
	"cmp"
	"maps"
	"slices"
)

// Use says that something went into an item: a lot, a bought part, or another
// item.
type Use struct {
	Input, Output string
	Quantity      int
}

// Graph is uses, asked in both directions.
type Graph struct{ into, outOf map[string][]string }

// NewGraph orders uses by what they name; the same pair twice counts once, as
// of an item that holds spokes of one lot on both sides.
func NewGraph(uses []Use) *Graph {
	g := &Graph{into: map[string][]string{}, outOf: map[string][]string{}}
	for _, u := range uses {
		g.into[u.Input] = append(g.into[u.Input], u.Output)
		g.outOf[u.Output] = append(g.outOf[u.Output], u.Input)
	}
	for _, edges := range []map[string][]string{g.into, g.outOf} {
		for key, list := range edges {
			slices.Sort(list)
			edges[key] = slices.Compact(list)
		}
	}
	return g
}

// Closure is everything reached from somewhere, without where it began unless
// that is reached too. Loops are the ways in it that come back to themselves,
// each from where it was entered: nothing is built into itself, so that a loop
// is a wrong record. What they hold is in the closure all the same.
type Closure struct {
	Reached []string // in bytewise order
	Loops   [][]string
}

// Outputs follows parts into the items that hold them, through all levels.
func (g *Graph) Outputs(of ...string) Closure { return closure(g.into, of) }

// Sources follows items back to what went into them, through all levels.
func (g *Graph) Sources(of ...string) Closure { return closure(g.outOf, of) }

// closure walks depth first, each key once, with a stack of its own: how deep
// records go is not ours to say. The walk costs as much as there are uses in it.
func closure(edges map[string][]string, from []string) Closure {
	const inHand, done = 1, 2
	type step struct {
		key  string
		next int // of its edges
	}
	var out Closure
	state, reached := map[string]int{}, map[string]bool{}
	for _, start := range from {
		if state[start] != 0 {
			continue
		}
		way := []step{{key: start}}
		state[start] = inHand
		for len(way) > 0 {
			top := &way[len(way)-1]
			if top.next == len(edges[top.key]) {
				state[top.key] = done
				way = way[:len(way)-1]
				continue
			}
			to := edges[top.key][top.next]
			top.next++
			reached[to] = true
			switch state[to] {
			case inHand:
				at := slices.IndexFunc(way, func(s step) bool { return s.key == to })
				loop := make([]string, 0, len(way)-at)
				for _, s := range way[at:] {
					loop = append(loop, s.key)
				}
				out.Loops = append(out.Loops, loop)
			case 0:
				state[to] = inHand
				way = append(way, step{key: to})
			}
		}
	}
	out.Reached = slices.SortedFunc(maps.Keys(reached), cmp.Compare[string])
	return out
}
