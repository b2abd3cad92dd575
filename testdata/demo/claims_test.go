package demo

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/models/work/claims"
)

// The spoke lot that breaks is found from any one claim on a wheel with it: among
// the others like this it stands out, and no other spoke lot does.
func TestTheSpokeLotIsFoundFromOneClaim(t *testing.T) {
	s, truth := full(t, Story), full(t, Story).summary.Stories
	opened, err := store.Open(t.Context(), "sqlite:"+filepath.Join(wholeFolder, Story, "shop.db"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	desk := claims.New(opened, func() time.Time { return testDay }, func(context.Context) *time.Location { return time.UTC })
	lots, asked := s.lotsOf(t), 0
	for _, row := range s.rows(t, "SELECT c.item_id FROM claims AS c JOIN items AS i ON i.id = c.item_id WHERE i.kind = 'wheel'") {
		item, err := opened.Item(t.Context(), row[0])
		if err != nil {
			t.Fatal(err)
		}
		in, err := opened.LotsByCode(t.Context(), lots[item.ID])
		if err != nil {
			t.Fatal(err)
		}
		others, err := desk.Others(t.Context(), item, in)
		if err != nil {
			t.Fatal(err)
		}
		first := claims.Group{}
		for _, g := range others.Groups {
			if g.AtLeast > first.AtLeast {
				first = g
			}
		}
		if slices.ContainsFunc(others.Groups, func(g claims.Group) bool { return g.Name == truth.SpokeLot }) && first.Name != truth.SpokeLot {
			t.Errorf("%s: the first to look at is the same %s %s, %d of %d", *item.Serial, first.Same, first.Name, first.Back, first.Units)
		}
		for _, g := range others.Groups {
			if g.Same != claims.SameLot || !strings.HasPrefix(g.Name, "SP-") {
				continue // What was built in beside it is found with it.
			}
			bad := g.Name == truth.SpokeLot
			if bad {
				asked++
			}
			if bad != g.More {
				t.Errorf("%s: the same %s %s, %d of %d came back, %.1f expected: more is %v", *item.Serial, g.Same, g.Name, g.Back, g.Units, g.Expected, g.More)
			}
		}
	}
	if asked < 4 {
		t.Errorf("%d claims are on wheels with the lot", asked)
	}
}
