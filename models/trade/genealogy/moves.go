package genealogy

import (
	"maps"
	"slices"
	"time"
)

// Move says that something was put into a kit or another container, or taken
// out of it.
type Move struct {
	Child, Parent string
	Added         bool
	At            time.Time
}

// inTime gives moves in order of time; of one moment in the order given.
func inTime(moves []Move) []Move {
	return slices.SortedStableFunc(slices.Values(moves), func(a, b Move) int { return a.At.Compare(b.At) })
}

// Contents is what a container holds right after a moment, with what that holds
// in its turn, in bytewise order.
func Contents(moves []Move, parent string, at time.Time) []string {
	held := map[string]map[string]bool{}
	for _, m := range inTime(moves) {
		if m.At.After(at) {
			break
		}
		if held[m.Parent] == nil {
			held[m.Parent] = map[string]bool{}
		}
		if m.Added {
			held[m.Parent][m.Child] = true
		} else {
			delete(held[m.Parent], m.Child)
		}
	}
	edges := map[string][]string{}
	for key, children := range held {
		edges[key] = slices.Sorted(maps.Keys(children))
	}
	return closure(edges, []string{parent}).Reached
}

// Holder is the container that something lies in after all moves, empty for
// none.
func Holder(moves []Move, child string) string {
	in := ""
	for _, m := range inTime(moves) {
		switch {
		case m.Child != child:
		case m.Added:
			in = m.Parent
		case in == m.Parent:
			in = ""
		}
	}
	return in
}
