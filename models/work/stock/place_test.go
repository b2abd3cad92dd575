package stock_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

// blocksOf are the blocks fitted in a pack, place by place; all n come from the
// lot, which must stand there too, so that a hold on it stops the pack.
func (b *bench) blocksOf(pack models.Item, n int) []models.FittedPart {
	b.Helper()
	views, err := b.Store.Parts(b.Context(), pack.ID)
	b.Must(err)
	ofLot, parts := 0, []models.FittedPart{}
	for _, v := range views {
		switch p := v.FittedPart; {
		case p.PartID != nil:
			parts = append(parts, p)
		case p.LotID != nil && *p.LotID == b.lot.ID:
			ofLot = p.Quantity
		}
	}
	if ofLot != n {
		b.Errorf("%d blocks of the lot are fitted in %s, want %d", ofLot, pack.Name(), n)
	}
	return parts
}

// A pack is confirmed block by block: a wrong one answers why, and the place
// still waits for the expected one; kept, the packs have their blocks in place,
// which then go into no other.
func TestAMatchIsConfirmedAndKept(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		ctx := t.Context()
		b.stocked(10, 3)
		v := b.mustPropose(stock.Ask{Product: b.packs.ID, Count: 2})
		name := func(at stock.Slot) string {
			id, _ := v.At(at)
			return *v.Items[id].MakerNumber
		}
		refused := func(what string, err error, codes ...string) {
			t.Helper()
			var r *models.RefusedError
			if !errors.As(err, &r) {
				t.Fatalf("%s: %v", what, err)
			}
			var got []string
			for _, x := range r.Reasons {
				got = append(got, x.Code)
			}
			for _, code := range codes {
				if !slices.Contains(got, code) {
					t.Errorf("%s: refused for %v, want %s among them", what, got, code)
				}
			}
		}
		confirm := func(scanned, override string) error {
			next, err := b.Confirm(ctx, b.Operator, v.ID, scanned, stock.Slot{}, override)
			if err == nil {
				v = next
			}
			return err
		}
		refused("a block of the other pack", confirm(name(stock.Slot{Pack: 2, Place: 1}), ""), "block_goes_elsewhere", "block_expected")
		refused("one that is left over", confirm(v.Content.Left[0].Name, ""), "block_left_over", "block_expected")
		worktest.WantProblems(t, confirm("H99", ""), "block: unknown_number")
		h.Must(confirm(name(stock.Slot{Pack: 1, Place: 1}), ""))
		if at, ok := v.Next(); !ok || at != (stock.Slot{Pack: 1, Place: 2}) {
			t.Errorf("next is %v", at)
		}
		refused("one that lies in place", confirm(name(stock.Slot{Pack: 1, Place: 1}), ""), "block_placed_already")
		set := v.Content.Left[1].Name
		_, err := b.SetAside(ctx, b.Operator, stock.Decision{Blocks: []string{set}, Code: "damaged"})
		h.Must(err)
		refused("one that is set aside, with a reason", confirm(set, "the other one fell"), "block_not_offered", "set_aside_damaged")
		h.Must(confirm(v.Content.Left[0].Name, "the other one fell"))
		if p := v.Placements[1]; p.Override != "the other one fell" || p.Place != 2 {
			t.Errorf("placed %+v", p)
		}
		_, err = b.Keep(ctx, b.Operator, v.ID)
		refused("kept too early", err, "blocks_not_in_place")
		other := b.mustPropose(stock.Ask{Product: b.packs.ID, Count: 1})
		for _, l := range other.Content.Input {
			if l.Name == name(stock.Slot{Pack: 1, Place: 1}) {
				t.Error("a block that lies in a place is offered for another match")
			}
		}
		for {
			at, open := v.Next()
			if !open {
				break
			}
			h.Must(confirm(name(at), ""))
		}
		refused("the last one scanned twice", confirm(name(stock.Slot{Pack: 2, Place: 4}), ""), "block_placed_already")
		refused("one of no place, after the last", confirm(v.Content.Left[1].Name, ""), "all_in_place")
		aside := name(stock.Slot{Pack: 2, Place: 3})
		_, err = b.SetAside(ctx, b.Operator, stock.Decision{Blocks: []string{aside}, Code: "damaged"})
		h.Must(err)
		_, err = b.Keep(ctx, b.Operator, v.ID)
		refused("kept with one set aside since", err, "block_not_offered", "set_aside_damaged")
		_, err = b.Release(ctx, b.Owner, stock.Decision{Blocks: []string{aside}, Code: "no_fault_found", Reason: "dirt"})
		h.Must(err)

		kept, err := b.Keep(ctx, b.Operator, v.ID)
		h.Must(err)
		if len(kept.Made) != 2 || !kept.End.Kept {
			t.Fatalf("made %v", kept.Made)
		}
		for i, item := range kept.Made {
			parts := b.blocksOf(item, 4)
			if item.Serial == nil || (*item.Serial)[0] != 'P' || *item.ProductID != b.packs.ID || len(parts) != 4 {
				t.Errorf("pack %d: %+v with %d blocks", i+1, item, len(parts))
			}
			for k, part := range parts {
				want, _ := kept.At(stock.Slot{Pack: i + 1, Place: k + 1})
				if part.Place != fmt.Sprintf("1.%d", k+1) || *part.PartID != want {
					t.Errorf("pack %d place %s holds %s, want %s", i+1, part.Place, *part.PartID, want)
				}
			}
		}
		again, err := b.Keep(ctx, b.Operator, v.ID)
		if err != nil || len(again.Made) != 2 || again.Made[0].ID != kept.Made[0].ID {
			t.Errorf("kept twice: %v, %v", again.Made, err)
		}
		refused("confirmed after it was kept", confirm(name(stock.Slot{Pack: 1, Place: 1}), ""), "match_has_ended")
		refused("dropped after it was kept", b.Drop(ctx, b.Operator, v.ID, "r"), "match_has_ended")
		stocked, err := b.Stock(ctx, b.model.ID, "")
		h.Must(err)
		if len(stocked.Blocks) != 2 {
			t.Errorf("%d blocks are loose after two packs of four were made of ten", len(stocked.Blocks))
		}
		worktest.WantProblems(t, b.Drop(ctx, b.Operator, other.ID, " "), "reason: reason_needed")
		h.Must(b.Drop(ctx, b.Operator, other.ID, "the order fell through"))
		open, err := b.OpenMatches(ctx)
		h.Must(err)
		if len(open) != 0 {
			t.Errorf("%d matches are open", len(open))
		}
	})
}

// A match shows the end of each number, as much as tells its blocks apart: that end
// names the block there, and what several end in names none.
func TestABlockIsNamedByItsEndInItsMatch(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		d := b.delivery(4)
		for i, number := range []string{"QX-401167", "QY-401167", "QX-500001", "QX-500002"} {
			d.Rows[i].Number = number
		}
		b.mustTakeIn(d)
		v := b.mustPropose(stock.Ask{Product: b.packs.ID, Count: 1})
		confirm := func(named string) (err error) {
			_, err = b.Confirm(t.Context(), b.Operator, v.ID, named, stock.Slot{}, "")
			return err
		}
		for _, named := range []string{"401167", "0001x", "002", "999999"} {
			worktest.WantProblems(t, confirm(named), "block: unknown_number")
		}
		end := map[string]string{"QX-401167": "x-401167", "QY-401167": "]C0Y-401167", "QX-500001": "0001", "QX-500002": "500002"}
		for k := range 4 {
			id, _ := v.At(stock.Slot{Pack: 1, Place: k + 1})
			h.Must(confirm(end[*v.Items[id].MakerNumber]))
		}
		var r *models.RefusedError
		if err := confirm("0001"); !errors.As(err, &r) || r.Reasons[0].Code != "block_placed_already" {
			t.Errorf("its end once more: %v", err)
		}
	})
}

// Blocks picked by hand: the spread is said as they are picked, and what lies
// beyond the limits takes a reason.
func TestPacksPickedByHand(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	ctx := t.Context()
	d := b.delivery(6)
	d.Temperature = "25"
	for i, x := range []struct{ volts, milliohm string }{{"12.880", "14.00"}, {"12.900", "14.20"}, {"12.930", "14.10"}, {"12.890", "14.40"}, {"12.780", "14.00"}, {"12.700", "14.10"}} {
		d.Rows[i].Voltage, d.Rows[i].Resistance = x.volts, x.milliohm
	}
	b.mustTakeIn(d)
	ask := stock.Ask{Product: b.packs.ID}
	for _, c := range []struct {
		blocks                  []string
		mv, uohm                int64
		byVoltage, byResistance string
		graded                  bool
		against                 int
	}{
		{[]string{"H00001"}, 0, 0, "", "", false, 0},
		{[]string{"H00001", "H00002"}, 20, 200, "A", "A", true, 0},
		{[]string{"H00001", "H00002", "H00003"}, 50, 200, "A", "A", true, 0}, // 50 mV is still A
		{[]string{"H00001", "H00005"}, 100, 0, "B", "A", true, 0},            // 100 mV is still B
		{[]string{"H00001", "H00006"}, 180, 100, "reject", "A", true, 0},
	} {
		p, err := b.Spread(ctx, ask, c.blocks)
		h.Must(err)
		if p.Graded != c.graded || p.Group.RangeMV != c.mv || p.Group.RangeUohm != c.uohm || p.Group.ByVoltage != c.byVoltage || p.Group.ByResistance != c.byResistance || len(p.Against) != c.against || p.Size != 4 {
			t.Errorf("%v: %+v", c.blocks, p)
		}
	}
	_, err := b.Spread(ctx, ask, []string{"H00001", "H00001", "H9"})
	worktest.WantProblems(t, err, "picked[1]: block_twice", "picked[2]: unknown_number")
	good := [][]string{{"H00003", "H00001", "H00002", "H00004"}}
	v, err := b.Pick(ctx, b.Operator, ask, stock.Picks{Packs: good})
	h.Must(err)
	whole(t, v)
	if first, _ := v.At(stock.Slot{Pack: 1, Place: 1}); *v.Items[first].MakerNumber != "H00003" || !v.Content.Picked || len(v.Content.Left) != 2 {
		t.Errorf("picked %+v", v.Content)
	}
	_, err = b.Pick(ctx, b.Operator, ask, stock.Picks{Packs: [][]string{{"H00001", "H00002", "H00003", "H00006"}}})
	worktest.WantProblems(t, err, "reason: reason_needed")
	_, err = b.Pick(ctx, b.Operator, ask, stock.Picks{Packs: [][]string{{"H00001", "H00002", "H00003"}}})
	worktest.WantProblems(t, err, "packs[0]: pack_size")
	_, err = b.Pick(ctx, b.Operator, ask, stock.Picks{})
	worktest.WantProblems(t, err, "packs: missing")
	_, err = b.SetAside(ctx, b.Operator, stock.Decision{Blocks: []string{"H00002"}, Code: "damaged"})
	h.Must(err)
	var refused *models.RefusedError
	if _, err = b.Pick(ctx, b.Operator, ask, stock.Picks{Packs: good}); !errors.As(err, &refused) || refused.Reasons[1].Code != "set_aside_damaged" {
		t.Errorf("picked with one set aside: %v", err)
	}
	if p, err := b.Spread(ctx, ask, []string{"H00001", "H00002"}); err != nil || len(p.Against) != 1 || p.Graded {
		t.Errorf("picked so far: %+v, %v", p, err)
	}
}

// Blocks scanned as they were laid into place are confirmed with the pack, which
// is kept at once.
func TestAPackPickedInPlace(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	b.mustTakeIn(b.delivery(4))
	v, err := b.Pick(t.Context(), b.Operator, stock.Ask{Product: b.packs.ID}, stock.Picks{Packs: [][]string{{"H00002", "H00001", "H00004", "H00003"}}, InPlace: true})
	h.Must(err)
	if _, open := v.Next(); open || len(v.Placements) != 4 {
		t.Errorf("%d placed", len(v.Placements))
	}
	v, err = b.Keep(t.Context(), b.Operator, v.ID)
	h.Must(err)
	parts := b.blocksOf(v.Made[0], 4)
	if first := v.Items[*parts[0].PartID]; *first.MakerNumber != "H00002" {
		t.Errorf("first lies %s", *first.MakerNumber)
	}
}

// confirmAll confirms every block of a match in its place.
func (b *bench) confirmAll(v stock.View) stock.View {
	b.Helper()
	for {
		at, open := v.Next()
		if !open {
			return v
		}
		id, _ := v.At(at)
		var err error
		v, err = b.Confirm(b.Context(), b.Operator, v.ID, id, stock.Slot{}, "")
		b.Must(err)
	}
}

// A pack of two strings has its blocks at string and place.
func TestAPackOfTwoStrings(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	double := b.product(models.KindPack, "24 V double", models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 2, Blocks: 2, BlockProduct: b.model.ID}})
	b.stocked(4, 9)
	v := b.mustPropose(stock.Ask{Product: double.ID})
	v = b.confirmAll(v)
	v, err := b.Keep(t.Context(), b.Operator, v.ID)
	h.Must(err)
	parts := b.blocksOf(v.Made[0], 4)
	var places []string
	for _, p := range parts {
		places = append(places, p.Place)
	}
	if !slices.Equal(places, []string{"1.1", "1.2", "2.1", "2.2"}) {
		t.Errorf("places %v", places)
	}
}

// Two people confirm the last block of a match and keep it at once: one pack of
// each, no block in two.
func TestTwoKeepAtOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		b.stocked(4, 11)
		v := b.mustPropose(stock.Ask{Product: b.packs.ID})
		v = b.confirmAll(v)
		done := make(chan error, 2)
		for range 2 {
			go func() {
				_, err := b.Keep(t.Context(), b.Operator, v.ID)
				done <- err
			}()
		}
		for range 2 {
			if err := <-done; err != nil && !errors.Is(err, models.ErrStale) {
				t.Errorf("kept at once: %v", err)
			}
		}
		for _, m := range v.Content.Input {
			where, err := h.Store.FittedInto(t.Context(), m.Item)
			h.Must(err)
			if len(where) != 1 {
				t.Errorf("%s is in %d packs", m.Name, len(where))
			}
		}
	})
}

// What comes up against a block since it was placed keeps its pack from being
// made; that its reading grew older meanwhile does not.
func TestAMatchIsNotKeptWithABlockThatSomethingCameUpAgainst(t *testing.T) {
	for _, c := range []struct {
		name  string
		since func(b *bench, item string)
		want  string
	}{
		{"charged, and off the charger again", func(b *bench, item string) {
			charge, err := b.Store.AddCharge(b.Context(), models.NewStamp(b.Owner, b.Now), models.Charge{ItemID: item, Kind: models.ChargeRefresh, StartedAt: b.Now.Add(-time.Minute)})
			b.Must(err)
			b.Must(b.Store.EndCharge(b.Context(), models.NewStamp(b.Owner, b.Now), models.ChargeEnd{ChargeID: charge.ID, EndedAt: b.Now}))
		}, "charged_since_reading"},
		{"put on a charger", func(b *bench, item string) {
			_, err := b.Store.AddCharge(b.Context(), models.NewStamp(b.Owner, b.Now), models.Charge{ItemID: item, Kind: models.ChargeRefresh, StartedAt: b.Now})
			b.Must(err)
		}, "block_charging"},
		{"found damaged", func(b *bench, item string) {
			b.Now = b.Now.Add(2 * time.Hour)
			d := b.delivery(1)
			d.Stage, d.CaseSound = models.SecondReading, "no"
			b.mustTakeIn(d)
		}, "case_not_sound"},
		{"a month later", func(b *bench, item string) { b.Now = b.Now.AddDate(0, 1, 0) }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			b := setUp(h, blockModel())
			b.mustTakeIn(b.delivery(4))
			v, err := b.Pick(t.Context(), b.Operator, stock.Ask{Product: b.packs.ID}, stock.Picks{Packs: [][]string{{"H00001", "H00002", "H00003", "H00004"}}, InPlace: true})
			h.Must(err)
			c.since(b, v.Content.Packs[0].Blocks[0])
			_, err = b.Keep(t.Context(), b.Operator, v.ID)
			if c.want == "" {
				h.Must(err)
				return
			}
			var refused *models.RefusedError
			if !errors.As(err, &refused) || !slices.Contains(codes(refused.Reasons), c.want) {
				t.Errorf("kept: %v, want it refused by %s", err, c.want)
			}
		})
	}
}

// A block that was built in elsewhere since it was placed is named.
func TestAMatchIsNotKeptWithABlockThatWentElsewhere(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		b.mustTakeIn(b.delivery(4))
		v, err := b.Pick(t.Context(), b.Operator, stock.Ask{Product: b.packs.ID}, stock.Picks{Packs: [][]string{{"H00001", "H00002", "H00003", "H00004"}}, InPlace: true})
		h.Must(err)
		gone := v.Content.Packs[0].Blocks[1]
		p := h.Item[models.KindPack]
		_, err = h.Store.AddItemWithSerial(t.Context(), models.NewStamp(h.Owner, h.Now), models.Item{Kind: models.KindPack, FamilyID: p.FamilyID, ProductID: p.ProductID, Origin: "made"}, "P", 31,
			[]models.FittedPart{{Role: "block", Place: "1.1", PartID: &gone, Quantity: 1}})
		h.Must(err)
		_, err = b.Keep(t.Context(), b.Operator, v.ID)
		var refused *models.RefusedError
		if !errors.As(err, &refused) || len(refused.Reasons) != 2 || refused.Reasons[0].Values["number"] != "H00002" || refused.Reasons[1].Code != "block_fitted" {
			t.Errorf("%v", err)
		}
	})
}
