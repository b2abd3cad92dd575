package store

import (
	"slices"
	"strings"
	"testing"

	"tracewright/models"
)

func arriving(id, item string) *waitingWrite {
	w := &inspectionWrite{NewInspection: models.NewInspection{Inspection: models.Inspection{ID: id, ItemID: item}}}
	return &waitingWrite{inspectionWrite: w, done: make(chan struct{})}
}

// Those who wait are taken in the order they came, and two of one item or of
// one id never stand in one transaction.
func TestAGroupIsFormed(t *testing.T) {
	g := &groups{most: 1}
	if !g.join(arriving("1", "wheel a")) {
		t.Fatal("the first finds a writer")
	}
	for _, q := range []*waitingWrite{arriving("2", "wheel b"), arriving("3", "wheel a"), arriving("2", "wheel c"), arriving("4", "wheel d")} {
		if g.join(q) {
			t.Fatalf("inspection %s does not wait for the one that writes", q.Inspection.ID)
		}
	}
	var got []string
	g.run(func(group []*waitingWrite) {
		var of []string
		for _, q := range group {
			of = append(of, q.Inspection.ID+" "+q.Inspection.ItemID)
		}
		got = append(got, strings.Join(of, ", "))
	})
	if want := []string{"1 wheel a, 2 wheel b, 4 wheel d", "3 wheel a, 2 wheel c"}; !slices.Equal(got, want) {
		t.Fatalf("groups %q, want %q", got, want)
	}
	if g.writing != 0 || len(g.waiting) != 0 {
		t.Errorf("%d write and %d wait after all", g.writing, len(g.waiting))
	}
	if !g.join(arriving("5", "wheel e")) {
		t.Error("who comes later finds a writer that has ended")
	}
}

// Nobody waits longer than for a group of bounded size.
func TestAGroupIsBounded(t *testing.T) {
	g := &groups{most: 1}
	for range 2 * mostTogether {
		id := models.NewID()
		g.join(arriving(id, id))
	}
	if n := len(g.take()); n != mostTogether {
		t.Errorf("%d in a group, want %d", n, mostTogether)
	}
}

// A second writer begins when so many wait that it is worth while, and leaves fewer to
// the first.
func TestAGroupBesideAnother(t *testing.T) {
	g := &groups{most: 2}
	join := func(n int) (started int) {
		for range n {
			id := models.NewID()
			if g.join(arriving(id, id)) {
				started++
			}
		}
		return started
	}
	if n := join(1); n != 1 || len(g.take()) != 1 {
		t.Fatalf("%d writers for the first", n)
	}
	if n := join(worthBeside - 1); n != 0 {
		t.Errorf("%d writers beside for %d who wait", n, worthBeside-1)
	}
	if n := join(1); n != 1 || len(g.take()) != worthBeside {
		t.Errorf("%d writers beside for %d who wait", n, worthBeside)
	}
	join(1)
	if g.take() != nil || g.writing != 1 || len(g.take()) != 1 {
		t.Error("the second of two goes on with one who waits, or the first does not")
	}
}

// What panics while a group is written is that group's error; those behind it are written.
func TestAGroupThatPanics(t *testing.T) {
	g := &groups{most: 1}
	first, second := arriving("1", "wheel a"), arriving("1", "wheel b") // of one id: a group each
	g.join(first)
	g.join(second)
	n := 0
	g.run(func([]*waitingWrite) {
		if n++; n == 1 {
			panic("no such luck")
		}
	})
	<-first.done
	<-second.done
	if first.err == nil || !strings.Contains(first.err.Error(), "no such luck") || second.err != nil {
		t.Errorf("errors %v and %v", first.err, second.err)
	}
}
