package store_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/genealogy"
)

// Over a thousand random shops, loops and parts in two places among them, both
// databases reach what the plain closure in memory reaches, both ways, and name
// every fitting on the way.
func TestTracesAreTheClosure(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s, stamp := storetest.Open(t, dsn), models.NewStamp(models.Actor{}, moment)
		r := rand.New(rand.NewPCG(1, 6))
		type shop struct {
			lots, items []string
			uses, now   []genealogy.Use // all that ever was, and without what was taken out
		}
		shops := make([]shop, 1000)
		lot := models.Lot{ID: models.NewID(), Code: "L-0", Material: "spokes"}
		if err := s.AddLot(t.Context(), stamp, lot); err != nil {
			t.Fatal(err)
		}
		who := models.Person{ID: models.NewID(), Name: "n", Role: models.Owner, Active: true}
		if err := s.AddPerson(t.Context(), stamp, who); err != nil {
			t.Fatal(err)
		}
		var items []models.Item
		var lots []string
		fitted := map[string][]string{} // by when they were taken out
		for i := range shops {
			x := &shops[i]
			for range 1 + r.IntN(2) {
				x.lots = append(x.lots, models.NewID())
				lots = append(lots, fmt.Sprintf("('%s','L-%d')", x.lots[len(x.lots)-1], len(lots)+1))
			}
			for range 1 + r.IntN(7) {
				x.items = append(x.items, models.NewID())
				items = append(items, models.Item{ID: x.items[len(x.items)-1], Kind: models.KindMotor, Supplier: "Brook", Model: "H1", MakerNumber: pointer(fmt.Sprint("N", len(items))), Origin: "received"})
			}
			for range r.IntN(2 * len(x.items)) {
				into, from := x.items[r.IntN(len(x.items))], r.IntN(len(x.lots)+len(x.items))
				key, columns := "", "'%s',NULL"
				if from < len(x.lots) {
					key = x.lots[from]
				} else {
					key, columns = x.items[from-len(x.lots)], "NULL,'%s'"
				}
				x.uses = append(x.uses, genealogy.Use{Input: key, Output: into})
				out := "NULL"
				if r.IntN(4) == 0 { // Swapped for another since.
					out = "received_at"
				} else {
					x.now = append(x.now, x.uses[len(x.uses)-1])
				}
				fitted[out] = append(fitted[out], fmt.Sprintf("('%s','%s',"+columns+")", models.NewID(), into, key))
			}
		}
		if err := s.AddItems(t.Context(), stamp, items); err != nil {
			t.Fatal(err)
		}
		key := "uuid" // what a key is in PostgreSQL
		if strings.HasPrefix(dsn, "sqlite:") {
			key = "text"
		}
		for list := range slices.Chunk(lots, 500) {
			must(0, exec(t, dsn, "INSERT INTO lots SELECT CAST(v.column1 AS "+key+"), v.column2, material, description, supplier, supplier_code, date_code, quantity, received_at, received_by FROM lots, (VALUES "+
				strings.Join(list, ",")+") AS v WHERE lots.code = 'L-0'"))
		}
		for out, rows := range fitted {
			for list := range slices.Chunk(rows, 500) {
				must(0, exec(t, dsn, "INSERT INTO fitted_parts (id, item_id, role, place, lot_id, part_id, quantity, fitted_at, fitted_by, out_at) SELECT CAST(v.column1 AS "+key+"), CAST(v.column2 AS "+key+"), 'part', '', CAST(v.column3 AS "+key+"), CAST(v.column4 AS "+key+"), 1, received_at, received_by, "+out+" FROM lots, (VALUES "+
					strings.Join(list, ",")+") AS v WHERE lots.code = 'L-0'"))
			}
		}
		held, swapped := map[string]bool{}, 0 // what an open hold on its lot reaches now
		loops := 0
		for i, x := range shops {
			g := genealogy.NewGraph(x.uses)
			check := func(what, from string, got models.Traced, want genealogy.Closure, upward bool) {
				t.Helper()
				loops += len(want.Loops)
				var reached []string
				for _, item := range got.Items {
					if upward || item.ID != from || slices.Contains(want.Reached, from) {
						reached = append(reached, item.ID)
					}
				}
				for _, f := range got.Fitted {
					if f.LotID != nil && !upward && !slices.Contains(reached, *f.LotID) {
						reached = append(reached, *f.LotID)
					}
				}
				slices.Sort(reached)
				if !slices.Equal(reached, want.Reached) {
					t.Fatalf("shop %d, %s of %s: %v, want %v", i, what, from, reached, want.Reached)
				}
				edges := 0
				for _, u := range x.uses {
					inside := func(key string) bool { return key == from || slices.Contains(want.Reached, key) }
					if upward && inside(u.Input) || !upward && inside(u.Output) {
						edges++
					}
				}
				if len(got.Fitted) != edges {
					t.Fatalf("shop %d, %s of %s: %d fittings, want %d", i, what, from, len(got.Fitted), edges)
				}
			}
			lot, item := x.lots[0], x.items[r.IntN(len(x.items))]
			must(s.AddHold(t.Context(), stamp, models.Hold{LotID: &lot, Code: "W08", Reason: "r", RaisedBy: who.ID}))
			reached := genealogy.NewGraph(x.now).Outputs(lot).Reached
			for _, id := range reached {
				held[id] = true
			}
			swapped += len(g.Outputs(lot).Reached) - len(reached)
			holds, within := must(s.OpenHolds(t.Context(), item)), slices.Contains(reached, item)
			if within != (len(holds) == 1) {
				t.Fatalf("shop %d: %d holds on %s, in it: %v", i, len(holds), item, within)
			}
			check("outputs", lot, must(s.OutputsOfLot(t.Context(), lot)), g.Outputs(lot), true)
			check("outputs", item, must(s.OutputsOfPart(t.Context(), item)), g.Outputs(item), true)
			check("sources", item, must(s.SourcesOf(t.Context(), item)), g.Sources(item), false)
		}
		ids := must(s.ItemsHeld(t.Context()))
		for _, id := range ids {
			if !held[id] {
				t.Errorf("%s is held and holds nothing of a lot on hold", id)
			}
		}
		if len(ids) != len(held) || swapped < 100 {
			t.Errorf("%d items held, want %d; %d no longer hold what they held", len(ids), len(held), swapped)
		}
		if loops < 100 {
			t.Errorf("%d loops among the traces, want many", loops)
		}
	})
}
