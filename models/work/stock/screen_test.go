package stock_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/stock"
	"tracewright/models/work/worktest"
)

// twice takes blocks in with these voltages, and reads them again a week later.
func (b *bench) twice(first, second []string, change func(i int, r *stock.Row)) {
	b.Helper()
	d := b.delivery(len(first))
	for i := range d.Rows {
		d.Rows[i].Voltage = first[i]
	}
	b.mustTakeIn(d)
	b.Now = b.Now.Add(7 * 24 * time.Hour)
	again := b.delivery(len(first))
	again.Stage, again.MeasuredAt = models.SecondReading, d.MeasuredAt.Add(7*24*time.Hour)
	for i := range again.Rows {
		again.Rows[i].Voltage = second[i]
		if change != nil {
			change(i, &again.Rows[i])
		}
	}
	b.mustTakeIn(again)
}

func milli(base float64, fall ...int) (first, second []string) {
	for _, mv := range fall {
		first, second = append(first, fmt.Sprintf("%.3f", base)), append(second, fmt.Sprintf("%.3f", base-float64(mv)/1000))
		base += 0.001
	}
	return first, second
}

// The worked lot of eight: losses of 9, 8, 10, 9, 45, 9, 8 and 10 mV in a week
// are 1.29 1.14 1.43 1.29 6.43 1.29 1.14 1.43 mV a day, and the fifth stands 24.3
// robust deviations away.
func TestTheWorkedLotIsScreened(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		first, second := milli(12.88, 9, 8, 10, 9, 45, 9, 8, 10)
		b.twice(first, second, nil)
		v, err := b.Screen(t.Context(), "BL-1")
		h.Must(err)
		if len(v.Losses) != 8 || v.Flagged != 1 {
			t.Fatalf("%d compared, %d flagged: %+v", len(v.Losses), v.Flagged, v.NotCompared)
		}
		for i, want := range []float64{9, 8, 10, 9, 45, 9, 8, 10} {
			if got := v.Losses[i].MVDay; math.Abs(got-want/7) > 1e-9 {
				t.Errorf("block %d loses %g, want %g", i+1, got, want/7)
			}
		}
		if l := v.Losses[4]; !l.Flagged || math.Abs(l.Z-24.3) > 0.05 {
			t.Errorf("the fifth: flagged %v, z %g", l.Flagged, l.Z)
		}
		// One of eight is more than a tenth: the whole lot is in doubt.
		if len(v.Reasons) != 1 || v.Reasons[0].Code != "lot_many_flagged" {
			t.Errorf("the lot: %v", v.Reasons)
		}
		s, err := b.Stock(t.Context(), b.model.ID, "")
		h.Must(err)
		for i, block := range s.Blocks {
			want := []string{"lot_suspect"}
			if i == 4 {
				want = []string{"loses_charge", "lot_suspect"}
			}
			if got := codes(block.Reasons); !slices.Equal(got, want) {
				t.Errorf("block %d is not offered because of %v, want %v", i+1, got, want)
			}
		}
		doubted := func(want int) {
			t.Helper()
			lots, err := b.Doubted(t.Context(), []models.Product{b.model})
			h.Must(err)
			got := 0
			for _, d := range lots {
				got += d.Open
			}
			if len(lots) != min(want, 1) || got != want {
				t.Errorf("to decide about: %+v, want %d blocks", lots, want)
			}
		}
		// Set aside or released, a person has decided about a block.
		doubted(8)
		_, err = b.SetAside(t.Context(), h.Owner, stock.Decision{Blocks: []string{s.Blocks[4].Item.ID}, Code: "loses_charge"})
		h.Must(err)
		doubted(7)
		var others []string
		for i, block := range s.Blocks {
			if i != 4 {
				others = append(others, block.Item.ID)
			}
		}
		_, err = b.SetAside(t.Context(), h.Owner, stock.Decision{Blocks: others, Code: "loses_charge"})
		h.Must(err)
		doubted(7 - len(others))
		_, err = b.Release(t.Context(), h.Owner, stock.Decision{Blocks: others, Code: "measured_again", Reason: "read again and sound"})
		h.Must(err)
		doubted(0)
		if _, err := b.Screen(t.Context(), "BL-9"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a lot nobody has: %v", err)
		}
	})
}

func codes(list []models.Remark) []string {
	out := []string{}
	for _, r := range list {
		out = append(out, r.Code)
	}
	return out
}

// Which readings may be compared.
func TestWhatMayBeCompared(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(b *bench, first, second *stock.Delivery)
		why    string // of not comparing; empty: compared
		loss   float64
		charge time.Duration // from the first reading to a charge of an hour; 0 for none
	}{
		// 14 mV in a week are 2 mV a day.
		{"as they are", func(*bench, *stock.Delivery, *stock.Delivery) {}, "", 2, 0},
		{"four days apart", func(_ *bench, _, second *stock.Delivery) {
			second.MeasuredAt = second.MeasuredAt.Add(-3 * 24 * time.Hour)
		}, "readings_too_close", 0, 0},
		{"five days apart", func(_ *bench, _, second *stock.Delivery) {
			second.MeasuredAt = second.MeasuredAt.Add(-2 * 24 * time.Hour)
		}, "", 2.8, 0},
		{"with another meter", func(_ *bench, _, second *stock.Delivery) { second.Gauges.Voltage = "V-2" }, "other_meter", 0, 0},
		{"the first after a short rest", func(_ *bench, first, _ *stock.Delivery) { first.Conditions.RestHours = "20" }, "one_reading_only", 0, 0},
		{"the second on the charger", func(_ *bench, _, second *stock.Delivery) { second.Conditions.OnCharger = true }, "one_reading_only", 0, 0},
		{"two kelvin apart", func(_ *bench, _, second *stock.Delivery) { second.Temperature = "21" }, "", 2, 0},
		// Three kelvin colder: 3.6 mV of the 14 are the cold (6 cells x 0.2 mV/K x 3 K); 10.4 mV, by a meter of 1 mV 10 or 11.
		{"three kelvin apart", func(_ *bench, _, second *stock.Delivery) { second.Temperature = "20" }, "", 10. / 7, 0},
		// Three kelvin warmer: the 3.6 mV add to the 14, and 17.6 mV in a week are 2.5 mV a day.
		{"three kelvin apart, the second warmer", func(_ *bench, _, second *stock.Delivery) { second.Temperature = "26" }, "", 17.6 / 7, 0},
		{"charged between them", func(*bench, *stock.Delivery, *stock.Delivery) {}, "charged_between", 0, 24 * time.Hour},
		{"charged before them", func(*bench, *stock.Delivery, *stock.Delivery) {}, "", 2, -96 * time.Hour},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			b := setUp(h, blockModel())
			h.Must(h.Store.AddInstrument(t.Context(), models.NewStamp(h.Owner, h.Now), models.Instrument{ID: models.NewID(), Code: "V-2", Kind: "voltmeter", Name: "V-2", Unit: "V", Resolution: "0.001", State: models.InstrumentInUse}))
			first := b.delivery(1)
			first.Rows[0].Voltage = "12.880"
			second := b.delivery(1)
			second.Stage, second.MeasuredAt, second.Rows[0].Voltage = models.SecondReading, first.MeasuredAt.Add(7*24*time.Hour), "12.866"
			c.change(b, &first, &second)
			block := b.mustTakeIn(first)[0].Blocks[0]
			if began := first.MeasuredAt.Add(c.charge); c.charge != 0 {
				charge, err := h.Store.AddCharge(t.Context(), models.NewStamp(h.Owner, h.Now), models.Charge{ItemID: block.ID, Kind: models.ChargeFirst, StartedAt: began})
				h.Must(err)
				h.Must(h.Store.EndCharge(t.Context(), models.NewStamp(h.Owner, h.Now), models.ChargeEnd{ChargeID: charge.ID, EndedAt: began.Add(time.Hour)}))
			}
			h.Now = h.Now.Add(8 * 24 * time.Hour)
			second.SentAt = time.Time{}
			b.mustTakeIn(second)
			v, err := b.Screen(t.Context(), "BL-1")
			h.Must(err)
			if c.why != "" {
				if len(v.NotCompared) != 1 || v.NotCompared[0].Why.Code != c.why {
					t.Errorf("not compared %+v, want %s", v.NotCompared, c.why)
				}
				return
			}
			if len(v.Losses) != 1 || math.Abs(v.Losses[0].MVDay-c.loss) > 1./7+1e-9 {
				t.Errorf("losses %+v, want %g", v.Losses, c.loss)
			}
		})
	}
}

// Every reason why a block is not offered, and what takes it away again.
func TestWhyABlockIsNotOffered(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		ctx := t.Context()
		d := b.delivery(9)
		d.Rows[1].Voltage = "-12.88"
		d.Rows[2].Voltage = "12.59"
		d.Rows[3].Resistance, d.Rows[3].AsTyped = "31", true
		d.Rows[4].Voltage, d.Rows[4].Resistance = "", ""
		taken := b.mustTakeIn(d)
		stamp := models.NewStamp(h.Owner, h.Now)
		_, err := h.Store.AddCharge(ctx, stamp, models.Charge{ItemID: taken[5].Blocks[0].ID, Kind: models.ChargeFirst})
		h.Must(err)
		hold := models.Hold{ID: models.NewID(), ItemID: &taken[6].Blocks[0].ID, Code: "other", Reason: "a dent", RaisedBy: h.Owner.PersonID, RaisedAt: h.Now}
		_, err = h.Store.AddHold(ctx, stamp, hold)
		h.Must(err)
		pack := h.Pack()
		pack.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "H00008"}}
		h.MustRecord(pack)
		_, err = b.SetAside(ctx, b.Operator, stock.Decision{Blocks: []string{"H00009"}, Code: "damaged"})
		h.Must(err)
		want := map[string][]string{"H00001": {}, "H00002": {"block_reversed_or_dead"}, "H00003": {"block_low"}, "H00004": {"resistance_off"}, "H00005": {"no_reading_at_rest", "resistance_not_read"},
			"H00006": {"block_charging"}, "H00007": {"item_on_hold"}, "H00009": {"set_aside_damaged"}}
		reasons := func() map[string][]string {
			v, err := b.Stock(ctx, b.model.ID, "BL-1")
			h.Must(err)
			got := map[string][]string{}
			for _, x := range v.Blocks {
				got[*x.Item.MakerNumber] = codes(x.Reasons)
			}
			return got
		}
		got := reasons()
		if len(got) != len(want) {
			t.Errorf("%d blocks in the stock, want %d: the eighth is in a pack", len(got), len(want))
		}
		for number, list := range want {
			if !slices.Equal(got[number], list) {
				t.Errorf("%s: %v, want %v", number, got[number], list)
			}
		}
		_, err = b.Release(ctx, b.Owner, stock.Decision{Blocks: []string{"H00009"}, Code: "no_fault_found", Reason: "only dirt"})
		h.Must(err)
		if got := reasons()["H00009"]; len(got) > 0 {
			t.Errorf("after the release: %v", got)
		}
		lots, err := h.Store.LotsByCode(ctx, []string{"BL-1"})
		h.Must(err)
		for at, c := range []struct {
			decision string
			want     []string
		}{{models.LotQuarantine, []string{"lot_set_aside"}}, {models.LotReturn, []string{"lot_set_aside"}}, {models.LotConcession, nil}} {
			h.Must(h.Store.AddLotDecision(ctx, models.NewStamp(h.Owner, h.Now.Add(time.Duration(at)*time.Second)), models.LotDecision{ID: models.NewID(), LotID: lots[0].ID, Decision: c.decision, Reason: "r"}))
			if got := reasons()["H00001"]; !slices.Equal(got, c.want) {
				t.Errorf("its lot decided %s: %v, want %v", c.decision, got, c.want)
			}
			pack := h.Pack()
			pack.Serial, pack.Parts = h.Serial[models.KindPack], []models.SentPart{{Role: "block", Place: "1.2", Number: "H00001"}}
			if _, err := h.Capture.Preview(ctx, h.Operator, pack); c.want != nil {
				worktest.WantProblems(t, err, "parts[0].number: lot_set_aside")
			} else if err != nil {
				t.Errorf("at the bench after the concession: %v", err)
			}
		}
		h.Now = h.Now.Add(7*24*time.Hour - time.Minute) // seven days are good
		if got := reasons()["H00001"]; len(got) > 0 {
			t.Errorf("after seven days: %v", got)
		}
		h.Now = h.Now.Add(time.Hour)
		if got := reasons()["H00001"]; !slices.Equal(got, []string{"reading_old"}) {
			t.Errorf("after more than seven days: %v", got)
		}
	})
}

func TestDecisionsThatAreRefused(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	b.mustTakeIn(b.delivery(2))
	ctx := t.Context()
	for _, c := range []struct {
		name string
		d    stock.Decision
		want []string
	}{
		{"no blocks", stock.Decision{Code: "damaged"}, []string{"blocks: missing"}},
		{"no reason", stock.Decision{Blocks: []string{"H00001"}, Code: "other"}, []string{"reason: reason_needed"}},
		{"a code of a release", stock.Decision{Blocks: []string{"H00001"}, Code: "measured_again"}, []string{"code: unknown_code"}},
		{"a block nobody has", stock.Decision{Blocks: []string{"H00001", "H9"}, Code: "damaged"}, []string{"blocks[1]: unknown_number"}},
		{"a block twice", stock.Decision{Blocks: []string{"H00001", "H00001"}, Code: "damaged"}, []string{"blocks[1]: number_twice"}},
		{"a wheel", stock.Decision{Blocks: []string{h.Serial[models.KindWheel]}, Code: "damaged"}, []string{"blocks[0]: unknown_number"}},
	} {
		_, err := b.SetAside(ctx, b.Operator, c.d)
		t.Run(c.name, func(t *testing.T) { worktest.WantProblems(t, err, c.want...) })
	}
	refused := func(err error, code string) {
		t.Helper()
		var r *models.RefusedError
		if !errors.As(err, &r) || r.Reasons[0].Code != code {
			t.Errorf("got %v, want it refused: %s", err, code)
		}
	}
	_, err := b.Release(ctx, b.Owner, stock.Decision{Blocks: []string{"H00001"}, Code: "other", Reason: "r"})
	refused(err, "block_not_set_aside")
	_, err = b.SetAside(ctx, b.Operator, stock.Decision{Blocks: []string{"H00001"}, Code: "damaged"})
	h.Must(err)
	_, err = b.SetAside(ctx, b.Operator, stock.Decision{Blocks: []string{"H00002", "H00001"}, Code: "damaged"})
	refused(err, "block_is_set_aside")
	second, err := h.Store.BlocksNumbered(ctx, "Halden", "12-12", []string{"H00002"})
	h.Must(err)
	if _, decided, err := b.History(ctx, second[0].ID, ""); err != nil || len(decided) > 0 {
		t.Errorf("of a refused decision stayed %v, %v", decided, err)
	}
}

// A first reading by another meter hides nothing: the later two are compared.
func TestALaterPairByOneMeter(t *testing.T) {
	h := worktest.New(t)
	b := setUp(h, blockModel())
	h.Must(h.Store.AddInstrument(t.Context(), models.NewStamp(h.Owner, h.Now), models.Instrument{ID: models.NewID(), Code: "V-2", Kind: "voltmeter", Name: "V-2", Unit: "V", Resolution: "0.001", State: models.InstrumentInUse}))
	began := h.Now
	for i, volts := range []string{"12.950", "12.900", "12.830"} { // 70 mV in a week are 10 mV a day.
		d := b.delivery(1)
		d.MeasuredAt, d.Rows[0].Voltage = began.Add(time.Duration(i)*7*24*time.Hour), volts
		if i == 0 {
			d.Gauges.Voltage = "V-2"
		} else {
			d.Stage = models.SecondReading
		}
		h.Now = d.MeasuredAt.Add(time.Hour)
		b.mustTakeIn(d)
	}
	v, err := b.Screen(t.Context(), "BL-1")
	h.Must(err)
	if len(v.Losses) != 1 || math.Abs(v.Losses[0].MVDay-10) > 1e-9 || !v.Losses[0].Flagged {
		t.Errorf("losses %+v, not compared %+v; want 10 mV a day, flagged", v.Losses, v.NotCompared)
	}
}

// Two models in one lot are compared each by itself: eight of one lose about
// 1.3 mV a day, and five of another 4.3, which is far from the others and even
// among themselves.
func TestTwoModelsInOneLot(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := setUp(h, blockModel())
		form := blockModel()
		form.Model = "12-17"
		other := b.product(models.KindBlock, "Halden 12-17", models.ProductForm{Block: &form})
		first, second := milli(12.88, 9, 8, 10, 9, 9, 9, 8, 10)
		began := h.Now
		b.twice(first, second, nil)
		h.Now = began
		first, second = milli(12.88, 30, 30, 30, 31, 30)
		for i, volts := range [][]string{first, second} {
			d := b.delivery(5)
			d.Model, d.MeasuredAt = other.ID, began.AddDate(0, 0, 7*i).Add(-time.Minute)
			if i == 1 {
				h.Now, d.Stage = began.AddDate(0, 0, 7), models.SecondReading
			}
			for k := range d.Rows {
				d.Rows[k].Voltage = volts[k]
			}
			b.mustTakeIn(d)
		}
		v, err := b.Screen(t.Context(), "BL-1")
		h.Must(err)
		if v.Blocks != 13 || len(v.Losses) != 13 || v.Flagged != 0 || v.Model.ID != b.model.ID || len(v.Others) != 1 || math.Abs(v.Median-9.0/7) > 1e-6 {
			t.Errorf("%d blocks, %d compared, %d flagged, of %s and %d others, middle %v", v.Blocks, len(v.Losses), v.Flagged, v.Model.Name, len(v.Others), v.Median)
		}
		for id, n := range map[string]int{b.model.ID: 8, other.ID: 5} {
			s, err := b.Stock(t.Context(), id, "")
			h.Must(err)
			if len(s.Lots) != 1 || s.Lots[0].Blocks != n || s.Lots[0].Flagged != 0 {
				t.Errorf("%+v", s.Lots)
			}
		}
	})
}
