package store

import (
	"testing"

	"tracewright/models"
)

func arriving(id, item string) *waitingWrite {
	w := &inspectionWrite{NewInspection: models.NewInspection{Inspection: models.Inspection{ID: id, ItemID: item}}}
	return &waitingWrite{inspectionWrite: w, turn: make(chan bool, 1)}
}

// Those who wait are taken in the order they came, and two of one item or of
// one id never stand in one transaction.
func TestAGroupIsFormed(t *testing.T) {
	g := &groups{most: 1}
	writer := arriving("1", "wheel a")
	if !g.join(writer) {
		t.Fatal("the first has to wait")
	}
	waiting := []*waitingWrite{arriving("2", "wheel b"), arriving("3", "wheel a"), arriving("2", "wheel c"), arriving("4", "wheel d")}
	for _, q := range waiting {
		if g.join(q) {
			t.Fatalf("inspection %s does not wait for the one that writes", q.Inspection.ID)
		}
	}
	var got []string
	group := g.take(writer)
	for _, q := range group {
		got = append(got, q.Inspection.ID+" "+q.Inspection.ItemID)
	}
	if len(got) != 3 || got[1] != "2 wheel b" || got[2] != "4 wheel d" {
		t.Fatalf("group %v, want the writer, wheel b and wheel d", got)
	}
	g.finish(group, writer)
	if written := !<-waiting[0].turn; !written {
		t.Error("one of the group is asked to write")
	}
	if next := <-waiting[1].turn; !next {
		t.Error("the first that still waits is not asked to write")
	}
	if g.writing != 1 || len(g.waiting) != 1 {
		t.Errorf("%d write and %d wait, want one of each", g.writing, len(g.waiting))
	}
}

// Nobody waits longer than for a group of bounded size.
func TestAGroupIsBounded(t *testing.T) {
	g := &groups{most: 1}
	writer := arriving("w", "w")
	g.join(writer)
	for range 2 * mostTogether {
		id := models.NewID()
		g.join(arriving(id, id))
	}
	if n := len(g.take(writer)); n != mostTogether {
		t.Errorf("%d in a group, want %d", n, mostTogether)
	}
}
