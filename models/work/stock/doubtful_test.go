package stock_test

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

// reasonsOf are the codes of what is against a block of the stock.
func (b *bench) reasonsOf(number string) []string {
	b.Helper()
	v, err := b.Stock(b.Context(), b.model.ID, "")
	b.Must(err)
	for _, x := range v.Blocks {
		if *x.Item.MakerNumber == number {
			return codes(x.Reasons)
		}
	}
	b.Fatalf("block %s is not in the stock", number)
	return nil
}

// A block recorded as damaged goes into no pack, whatever its voltage, until its
// case is looked at again or somebody releases it after that.
func TestADamagedBlockIsNotOffered(t *testing.T) {
	again := func(b *bench, sound string) {
		b.Now = b.Now.Add(6 * 24 * time.Hour)
		d := b.delivery(1)
		d.Stage, d.CaseSound = models.SecondReading, sound
		b.mustTakeIn(d)
	}
	for _, c := range []struct {
		name  string
		after func(b *bench)
		want  []string
	}{
		{"as it came in", func(*bench) {}, []string{"case_not_sound"}},
		{"read again, its case not looked at", func(b *bench) { again(b, "") }, []string{"case_not_sound"}},
		{"looked at again and sound", func(b *bench) { again(b, "yes") }, []string{}},
		{"released by a person after it", func(b *bench) {
			b.Now = b.Now.Add(time.Hour)
			b.decideAside()
		}, []string{}},
		{"released, and found damaged again", func(b *bench) {
			b.Now = b.Now.Add(time.Hour)
			b.decideAside()
			again(b, "no")
		}, []string{"case_not_sound"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				b := setUp(h, blockModel())
				d := b.delivery(4)
				d.Rows[0].CaseSound = "no"
				taken := b.mustTakeIn(d)
				if !slices.Contains(codes(taken[0].Remarks), "case_not_sound") {
					t.Errorf("whoever took it in hears %v", taken[0].Remarks)
				}
				c.after(b)
				if got := b.reasonsOf("H00001"); !slices.Equal(got, c.want) {
					t.Errorf("against it: %v, want %v", got, c.want)
				}
				if got := b.reasonsOf("H00002"); len(got) > 0 {
					t.Errorf("against one that is sound: %v", got)
				}
			})
		})
	}
}

// decideAside sets the first block aside and releases it again.
func (b *bench) decideAside() {
	b.Helper()
	_, err := b.SetAside(b.Context(), b.Operator, stock.Decision{Blocks: []string{"H00001"}, Code: "damaged"})
	b.Must(err)
	_, err = b.Release(b.Context(), b.Owner, stock.Decision{Blocks: []string{"H00001"}, Code: "no_fault_found", Reason: "only dirt"})
	b.Must(err)
}

// The day of a discharge is the shop's: what ended at eight in the evening of
// London ended the next day in Tokyo.
func TestTheDayOfADischargeIsTheShops(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	block := b.mustTakeIn(b.delivery(4))[0].Blocks[0]
	day := b.Now.Truncate(24 * time.Hour)
	b.Now = day.AddDate(0, 0, 6)
	h.Discharge(block, day.AddDate(0, 0, 5), "20")
	for zone, want := range map[*time.Location]string{time.UTC: day.AddDate(0, 0, 5).Format(time.DateOnly), time.FixedZone("Tokyo", 9*3600): day.AddDate(0, 0, 6).Format(time.DateOnly)} {
		s := stock.New(h.Store, h.Capture, h.Clock, func(context.Context) *time.Location { return zone })
		v, err := s.Stock(t.Context(), b.model.ID, "")
		h.Must(err)
		i := slices.IndexFunc(v.Blocks, func(x stock.Block) bool { return x.Item.ID == block.ID })
		if reasons := v.Blocks[i].Reasons; len(reasons) != 1 || reasons[0].Code != "block_discharged" || reasons[0].Values["date"] != want {
			t.Errorf("in %s against it: %+v, want discharged on %s", zone, reasons, want)
		}
	}
}

// A voltage from before a charge or a discharge is not matched by: the model asks
// for 24 h of rest after it.
func TestAVoltageFromBeforeAChargeDoesNotCount(t *testing.T) {
	charge := func(b *bench, item string, ended time.Duration) {
		c, err := b.Store.AddCharge(b.Context(), models.NewStamp(b.Owner, b.Now), models.Charge{ItemID: item, Kind: models.ChargeRefresh, StartedAt: b.Now.Add(ended - time.Hour)})
		b.Must(err)
		b.Must(b.Store.EndCharge(b.Context(), models.NewStamp(b.Owner, b.Now), models.ChargeEnd{ChargeID: c.ID, EndedAt: b.Now.Add(ended)}))
	}
	stale := []string{"charged_since_reading"}
	for _, c := range []struct {
		name  string
		after func(b *bench, item string)
		want  []string
	}{
		{"charged since", func(b *bench, item string) { charge(b, item, -time.Hour) }, stale},
		// The list was read a minute before noon; six days later the charge is 10 days past.
		{"charged long before it", func(b *bench, item string) { charge(b, item, -10*24*time.Hour) }, []string{}},
		{"written down later: it ended two hours before the reading", func(b *bench, item string) { charge(b, item, -6*24*time.Hour-2*time.Hour) }, stale},
		{"written down later: it ended a day before the reading", func(b *bench, item string) { charge(b, item, -7*24*time.Hour) }, []string{}},
		{"discharged since", func(b *bench, item string) {
			log, err := json.Marshal(map[string]any{})
			b.Must(err)
			_, err = b.Store.AddCapacityTest(b.Context(), models.NewStamp(b.Owner, b.Now), models.CapacityTest{ID: models.NewID(), ItemID: item, StartedAt: b.Now.Add(-time.Hour), TemperatureC: "25", RatedAh: "12",
				CutOffV: "10.5", CoefPerK: "0.006", ReferenceC: "25", Strings: 1, AcceptPct: "95", Log: string(log), LogHash: "h"})
			b.Must(err)
		}, []string{"block_discharged"}},
		{"charged and read again after a rest", func(b *bench, item string) {
			charge(b, item, -time.Hour)
			b.Now = b.Now.Add(3 * 24 * time.Hour)
			d := b.delivery(1)
			d.Stage = models.SecondReading
			b.mustTakeIn(d)
		}, []string{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				b := setUp(h, blockModel())
				block := b.mustTakeIn(b.delivery(4))[0].Blocks[0]
				b.Now = b.Now.Add(6 * 24 * time.Hour)
				c.after(b, block.ID)
				if got := b.reasonsOf("H00001"); !slices.Equal(got, c.want) {
					t.Fatalf("against it: %v, want %v", got, c.want)
				}
				if len(c.want) == 0 {
					return
				}
				// Nor is it picked by hand.
				ask := stock.Ask{Product: b.packs.ID}
				spread, err := b.Spread(b.Context(), ask, []string{"H00001"})
				h.Must(err)
				if len(spread.Against) != 1 || !slices.Equal(codes(spread.Against[0].Reasons), c.want) {
					t.Errorf("the spread says %+v", spread.Against)
				}
				_, err = b.Pick(b.Context(), h.Operator, ask, stock.Picks{Packs: [][]string{{"H00001", "H00002", "H00003", "H00004"}}})
				var refused *models.RefusedError
				if !errors.As(err, &refused) || !slices.Contains(codes(refused.Reasons), c.want[0]) {
					t.Errorf("picked by hand: %v", err)
				}
			})
		})
	}
}
