package assembly_test

import (
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/assembly"
	"tracewright/models/work/worktest"
)

// What may go in and come out, and what is refused and how it is said.
func TestChange(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		wheel, other, pack := b.Item[models.KindWheel], b.AnotherWheel(), b.Item[models.KindPack]
		b.fit(t, wheel, number("motor", "", "N1"), pieces("spokes_a", "SP-1", 18))
		b.fit(t, pack, number("block", "1.1", "A"))
		motor, spokes := b.fitted(t, wheel, "N1"), b.fitted(t, wheel, "SP-1")
		for _, c := range []struct {
			name string
			item models.Item
			do   assembly.Change
			want []string
		}{
			{"nothing", wheel, assembly.Change{}, []string{"in: missing"}},
			{"a motor that is in another wheel", other, assembly.Change{In: []assembly.In{number("motor", "", "N1")}}, []string{"in[0].number: part_in_already"}},
			{"a motor where one is", wheel, assembly.Change{In: []assembly.In{number("motor", "", "N2")}}, []string{"in[0].place: place_taken"}},
			{"a number nobody knows", other, assembly.Change{In: []assembly.In{number("motor", "", "N77")}}, []string{"in[0].number: unknown_number"}},
			{"the same block twice", pack, assembly.Change{In: []assembly.In{number("block", "1.2", "B"), number("block", "1.3", "B")}}, []string{"in[1].number: part_named_twice"}},
			{"a wheel into itself", wheel, assembly.Change{In: []assembly.In{number("block", "", *wheel.Serial)}}, []string{"in[0].number: built_into_itself"}},
			{"a wheel into a pack", pack, assembly.Change{In: []assembly.In{number("block", "", *wheel.Serial)}}, []string{"in[0].number: no_part"}},
			{"a motor at another place", wheel, assembly.Change{In: []assembly.In{number("motor", "left", "N2")}}, []string{"in[0].place: place_taken"}},
			{"the label of a rim scanned twice", wheel, assembly.Change{In: []assembly.In{pieces("rim", "RM-1", 1), pieces("rim", "RM-1", 1)}}, []string{"in[1].place: place_taken"}},
			{"two rims", wheel, assembly.Change{In: []assembly.In{pieces("rim", "RM-1", 2)}}, []string{"in[0].quantity: too_big"}},
			{"fewer than none", wheel, assembly.Change{In: []assembly.In{pieces("spokes_a", "SP-1", -1)}}, []string{"in[0].quantity: negative_not_possible"}},
			{"a reason of 200 characters", wheel, assembly.Change{In: []assembly.In{{SentPart: models.SentPart{Role: "spokes_b", Lot: "SP-9"}, Reason: strings.Repeat("ü", 200)}, {SentPart: models.SentPart{Role: "spokes_b", Lot: "SP-9"}, Reason: strings.Repeat("ü", 201)}}}, []string{"in[0].lot: unknown_lot", "in[1].lot: unknown_lot", "in[1].reason: too_long"}},
			{"a place that nobody reads", wheel, assembly.Change{In: []assembly.In{{SentPart: models.SentPart{Role: "spokes_a", Place: "A\a", Lot: "SP-1"}}, {SentPart: models.SentPart{Role: "spokes_b", Place: strings.Repeat("x", 41), Lot: "SP-1"}}}}, []string{"in[0].place: not_printed", "in[1].place: too_long"}},
			{"neither lot nor number", wheel, assembly.Change{In: []assembly.In{{SentPart: models.SentPart{Role: "rim"}}}}, []string{"in[0].number: lot_or_number"}},
			{"a role nobody has", wheel, assembly.Change{In: []assembly.In{pieces("saddle", "SP-1", 1)}}, []string{"in[0].role: unknown_role"}},
			{"a lot nobody took in", wheel, assembly.Change{In: []assembly.In{pieces("spokes_b", "SP-9", 1)}}, []string{"in[0].lot: unknown_lot"}},
			{"more than the lot has", wheel, assembly.Change{In: []assembly.In{pieces("spokes_b", "SP-2", 7), pieces("spokes_a", "SP-2", 4)}}, []string{"in[1].reason: lot_used_up"}},
			{"a lot for a role it is not for", wheel, assembly.Change{In: []assembly.In{pieces("rim", "SP-1", 1)}}, []string{"in[0].lot: lot_of_other_use"}},
			{"a lot that is set aside", wheel, assembly.Change{In: []assembly.In{pieces("spokes_b", "SP-3", 1)}}, []string{"in[0].lot: lot_set_aside"}},
			{"a place that the pack has not", pack, assembly.Change{In: []assembly.In{number("block", "1.4", "B")}}, []string{"in[0].place: no_place_of_pack"}},
			{"two at one place", pack, assembly.Change{In: []assembly.In{number("block", "1.1", "B")}}, []string{"in[0].place: place_taken"}},
			{"a motor for a block", pack, assembly.Change{In: []assembly.In{number("block", "1.2", "N2")}}, []string{"in[0].number: number_of_no_block"}},
			{"a block for a motor", other, assembly.Change{In: []assembly.In{number("motor", "", "B")}}, []string{"in[0].number: no_motor"}},
			{"a part of another item taken out", other, assembly.Change{Out: []assembly.Out{{Fitted: motor, Code: "worn", Fate: "scrap"}}}, []string{"out[0].fitted: part_not_in"}},
			{"more than is in", wheel, assembly.Change{Out: []assembly.Out{{Fitted: spokes, Quantity: 19, Code: "broken", Fate: "scrap"}}}, []string{"out[0].quantity: too_big"}},
			{"without saying why and where to", wheel, assembly.Change{Out: []assembly.Out{{Fitted: spokes, Quantity: 1}}}, []string{"out[0].code: missing", "out[0].fate: missing"}},
			{"another reason that is not said", wheel, assembly.Change{Out: []assembly.Out{{Fitted: spokes, Quantity: 1, Code: "other", Reason: " \u200b", Fate: "scrap"}}}, []string{"out[0].reason: reason_needed"}},
			{"broken, and never in", wheel, assembly.Change{Out: []assembly.Out{{Fitted: spokes, Quantity: 1, Code: "broken", Fate: "never_in"}}}, []string{"out[0].fate: never_in_and_why"}},
		} {
			t.Run(c.name, func(t *testing.T) {
				_, err := b.s.Change(t.Context(), b.Operator, c.item.ID, c.do)
				worktest.WantProblems(t, err, c.want...)
			})
		}
		more := pieces("spokes_b", "SP-2", 12)
		more.Reason = "two were in the drawer"
		b.fit(t, wheel, more)
	})
}

// A motor that does not conform and is scrapped or sent back as it is taken out
// leaves nothing to decide: what was open about it is closed, and its hold ends.
func TestAPartThatDoesNotConformIsGone(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		wheel := b.Item[models.KindWheel]
		for _, c := range []struct{ motor, fate, state, step string }{{"N1", models.FateScrap, models.StateScrapped, "part_scrapped"}, {"N2", models.FateSupplier, models.StateReturned, "part_returned"}} {
			b.fit(t, wheel, number("motor", "", c.motor))
			parts, err := b.Store.Parts(t.Context(), wheel.ID)
			b.Must(err)
			motor := *models.Present(parts)[0].PartID
			n, err := b.Store.AddNonconformity(t.Context(), models.NewStamp(b.Operator, b.Now), 31, models.Nonconformity{ItemID: motor, Code: "W22", Severity: models.Major, Note: "n"}, models.Hold{Code: "W22", Reason: "n"})
			b.Must(err)
			_, err = b.s.Change(t.Context(), b.Operator, wheel.ID, assembly.Change{Out: []assembly.Out{{Fitted: b.fitted(t, wheel, c.motor), Code: "broken", Fate: c.fate}}})
			b.Must(err)
			v, err := b.Store.NonconformityNumbered(t.Context(), n.Number)
			b.Must(err)
			item, err := b.Store.Item(t.Context(), motor)
			b.Must(err)
			holds, err := b.Store.OpenHolds(t.Context(), motor)
			b.Must(err)
			if v.State != models.NonconformityClosed || v.Last(c.step) == nil || item.State != c.state || len(holds) != 0 {
				t.Errorf("%s: %s is %s with steps %+v and holds %+v; the motor is %s", c.fate, v.Number, v.State, v.Steps, holds, item.State)
			}
		}
	})
}

// A swap is one change: the motor goes back into the stock, another comes in;
// then the first may go into another wheel, and a scrapped one nowhere.
func TestASwap(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		wheel, other := b.Item[models.KindWheel], b.AnotherWheel()
		b.fit(t, wheel, number("motor", "", "N1"), pieces("spokes_a", "SP-1", 18))
		swap := func(item models.Item, out, fate, in string) {
			t.Helper()
			_, err := b.s.Change(t.Context(), b.Operator, *item.Serial, assembly.Change{Out: []assembly.Out{{Fitted: b.fitted(t, item, out), Code: "wrong_part", Fate: fate}}, In: []assembly.In{number("motor", "", in)}})
			b.Must(err)
		}
		swap(wheel, "N1", models.FateStock, "N2")
		b.fit(t, other, number("motor", "", "N1"))
		swap(wheel, "N2", models.FateScrap, "N3")
		_, err := b.s.Change(t.Context(), b.Operator, b.AnotherWheel().ID, assembly.Change{In: []assembly.In{number("motor", "", "N2")}})
		worktest.WantProblems(t, err, "in[0].number: part_gone")
		// Four spokes of another lot: the wheel is found by both.
		_, err = b.s.Change(t.Context(), b.Operator, wheel.ID, assembly.Change{Out: []assembly.Out{{Fitted: b.fitted(t, wheel, "SP-1"), Quantity: 4, Code: "broken", Fate: models.FateScrap}}, In: []assembly.In{pieces("spokes_a", "SP-2", 4)}})
		b.Must(err)
		for code, want := range map[string]int{"SP-1": 18, "SP-2": 4} {
			lots, err := b.Store.LotsByCode(t.Context(), []string{code})
			b.Must(err)
			totals, err := b.Store.LotTotals(t.Context(), []string{lots[0].ID})
			b.Must(err)
			used := totals[lots[0].ID].BuiltIn
			traced, err := b.Store.OutputsOfLot(t.Context(), lots[0].ID)
			b.Must(err)
			if used != want || len(traced.Items) != 1 || traced.Items[0].ID != wheel.ID {
				t.Errorf("of %s %d used, in %d items; want %d, in the wheel", code, used, len(traced.Items), want)
			}
		}
	})
}

// What a lot has is what came less what went otherwise; a bin has what was put
// into it.
func TestMoreThanALotHas(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		ctx, stamp := t.Context(), models.NewStamp(b.Owner, b.Now)
		lot, err := b.Store.LotByCode(ctx, "SP-1")
		b.Must(err)
		b.Must(b.Store.AddLotScrap(ctx, stamp, models.LotScrap{ID: models.NewID(), LotID: lot.ID, Quantity: 60, Code: "W09"}))
		bin := models.Lot{ID: models.NewID(), Code: "BIN-1", Material: "spokes"}
		b.Must(b.Store.AddLotMixes(ctx, stamp, &bin, []models.LotMix{{ID: models.NewID(), MixID: bin.ID, LotID: lot.ID, Quantity: 40}}))
		for _, c := range []struct {
			lot  string
			n    int
			want []string
		}{
			{"BIN-1", 41, []string{"in[0].reason: lot_used_up"}},
			{"BIN-1", 40, nil},
			{"SP-1", 401, []string{"in[0].reason: lot_used_up"}}, // 500 came, 60 were thrown away, 40 went into the bin.
			{"SP-1", 400, nil},
			{"SP-1", 1, []string{"in[0].reason: lot_used_up"}},
		} {
			_, err := b.s.Change(ctx, b.Operator, b.Item[models.KindWheel].ID, assembly.Change{In: []assembly.In{pieces("spokes_a", c.lot, c.n)}})
			worktest.WantProblems(t, err, c.want...)
		}
	})
}

// Two benches reach for one motor at once: one has it, and the other hears so.
func TestOneMotorForTwoWheels(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		wheels := []models.Item{b.AnotherWheel(), b.AnotherWheel(), b.AnotherWheel(), b.AnotherWheel()}
		var wait sync.WaitGroup
		var in atomic.Int32
		for _, w := range wheels {
			wait.Go(func() {
				_, err := b.s.Change(t.Context(), b.Operator, w.ID, assembly.Change{In: []assembly.In{number("motor", "", "N1")}})
				var invalid *models.InvalidError
				switch {
				case err == nil:
					in.Add(1)
				case !errors.Is(err, models.ErrStale) && !errors.As(err, &invalid):
					t.Error(err)
				}
			})
		}
		wait.Wait()
		if in.Load() != 1 {
			t.Errorf("the motor is in %d wheels", in.Load())
		}
	})
}

// What holds an item is not built into it: neither at once nor around a corner.
func TestNoLoop(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		find := func(number string) models.Item {
			items, err := b.Store.ItemsByMakerNumber(t.Context(), number, 2)
			b.Must(err)
			return items[0]
		}
		inner, middle, outer := find("A"), find("B"), find("N1")
		b.fit(t, middle, number("harness", "", "A"))
		b.fit(t, outer, number("harness", "", "B"))
		for _, in := range []string{"B", "N1"} {
			b.Now = b.Now.Add(time.Minute)
			_, err := b.s.Change(t.Context(), b.Operator, inner.ID, assembly.Change{In: []assembly.In{number("harness", "", in)}})
			if in == "N1" {
				worktest.WantProblems(t, err, "in: built_into_itself")
			} else {
				worktest.WantProblems(t, err, "in[0].number: part_in_already")
			}
		}
	})
}

// A block that was taken out for a fault lies in the stock set aside; one that
// was taken out for another reason is free.
func TestAFaultyBlockIsSetAside(t *testing.T) {
	each(t, func(t *testing.T, b bench) {
		pack := b.Item[models.KindPack]
		b.fit(t, pack, number("block", "1.1", "A"), number("block", "1.2", "B"))
		for of, code := range map[string]string{"A": "loses_charge", "B": "upgrade"} {
			_, err := b.s.Change(t.Context(), b.Operator, pack.ID, assembly.Change{Out: []assembly.Out{{Fitted: b.fitted(t, pack, of), Code: code, Fate: models.FateStock, Reason: "7 mV a day"}}})
			b.Must(err)
			items, err := b.Store.ItemsByMakerNumber(t.Context(), of, 2)
			b.Must(err)
			d, err := b.Store.Disposition(t.Context(), items[0].ID)
			if of == "A" && (err != nil || d.Decision != models.Quarantine || d.Code != "loses_charge") || of == "B" && !errors.Is(err, models.ErrNotFound) {
				t.Errorf("%s, taken out as %s: %+v, %v", of, code, d, err)
			}
		}
	})
}
