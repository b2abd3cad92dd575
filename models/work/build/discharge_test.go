package build_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/build"
	"tracewright/models/work/worktest"
)

// straight is a log of three blocks from 12.50 V down to a voltage after so many
// hours.
func straight(amps, hours float64, end string) string {
	return fmt.Sprintf("0,%g,12.5,12.5,12.5\n%g,%g,%s\n", amps, hours, amps, strings.Join([]string{end, end, end}, ","))
}

// ofACell is the same log of blocks of one lithium cell.
func ofACell(log string) string { return strings.ReplaceAll(log, "12.5", "3.3") }

// What a discharge says and by what, of three blocks of 12 Ah. Coefficients of
// IEC 60896-21 cl. 6.11; the amounts are I t / (1 + lambda (T - 25)) by hand.
func TestWhatADischargeSays(t *testing.T) {
	for _, row := range []struct {
		name              string
		change            func(*models.PackForm)
		log, cutOff, coef string
		temperature       string
		usedCut, usedCoef string
		pct               float64
		accepted, early   bool
		good              bool
		refused           string
	}{
		{name: "20 h at 0.6 A", log: straight(0.6, 20, "10.5") + "20.1,0.6,10.4,10.4,10.4", temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 100, accepted: true, good: true},
		{name: "3 h is slow", log: straight(3.8, 3, "10.5") + "3.1,3.8,10,10,10", temperature: "15", usedCut: "10.50", usedCoef: "0.006", pct: 100 * 11.4 / 0.94 / 12, accepted: true, good: true},
		{name: "under 3 h is fast", log: straight(10.8, 1, "9.6") + "1.1,10.8,9,9,9", cutOff: "9.60", temperature: "20", usedCut: "9.60", usedCoef: "0.01", pct: 100 * 10.8 / 0.95 / 12, good: true},
		{name: "a coefficient of the maker's", log: straight(10.8, 1, "9.6") + "1.1,10.8,9,9,9", cutOff: "9,6", coef: "0,006", temperature: "20", usedCut: "9.6", usedCoef: "0.006", pct: 100 * 10.8 / 0.97 / 12, good: true},
		{name: "stopped before any block was at its cut-off", log: straight(0.6, 10, "11.5"), temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 50, early: true, good: true},
		{name: "stopped when it had given enough", log: straight(0.6, 19, "11.0"), temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 95, accepted: true, good: true},
		{name: "too cold for the correction", log: straight(0.6, 20, "10.5") + "20.1,0.6,10.4,10.4,10.4", temperature: "14.9", usedCut: "10.50", usedCoef: "0.006", pct: 100 / (1 - 0.006*10.1)},
		{name: "at 5 degrees", log: straight(0.6, 20, "10.5") + "20.1,0.6,10.4,10.4,10.4", temperature: "5", usedCut: "10.50", usedCoef: "0.006", pct: 100 / (1 - 0.006*20)},
		{name: "as cold as the correction is good", log: straight(0.6, 20, "10.5") + "20.1,0.6,10.4,10.4,10.4", temperature: "15", usedCut: "10.50", usedCoef: "0.006", pct: 100 / (1 - 0.006*10), accepted: true, good: true},
		{name: "lithium has no correction", change: lithium, log: ofACell(straight(2.4, 5, "2.5")) + "5.1,2.4,2.4,2.4,2.4", temperature: "22", usedCut: "2.5", usedCoef: "0", pct: 100, accepted: true, good: true},
		{name: "lithium too cold", change: lithium, log: ofACell(straight(2.4, 5, "2.5")) + "5.1,2.4,2.4,2.4,2.4", temperature: "21.9", usedCut: "2.5", usedCoef: "0", pct: 100},
		{name: "lithium wants 97 %", change: lithium, log: ofACell(straight(2.4, 4.8, "2.5")) + "5.1,2.4,2.4,2.4,2.4", temperature: "25", usedCut: "2.5", usedCoef: "0", pct: 96, good: true},
		{name: "it ends at the cut-off itself", log: straight(0.6, 12, "10.5"), temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 60, good: true},
		{name: "quoted decimal commas", log: "\"t (h)\",\"I (A)\",\"1\",\"2\",\"3\"\n\"0\",\"0,6\",\"12,5\",\"12,5\",\"12,5\"\n\"20\",\"0,6\",\"10,5\",\"10,5\",\"10,5\"\n", temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 100, accepted: true, good: true},
		{name: "at half again its rated capacity", log: straight(0.9, 20, "10.5"), temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 150, accepted: true, good: true},
		{name: "more than that", log: straight(0.901, 20, "10.5"), temperature: "25", refused: "log_gives_too_much"},
		{name: "as long as since it began", log: straight(0.5, 30, "10.5"), temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 125, accepted: true, good: true},
		{name: "longer than since it began", log: straight(0.5, 30.2, "10.5"), temperature: "25", refused: "log_longer"},
		{name: "milliamperes", log: straight(600, 20, "10.5"), temperature: "25", refused: "log_amps_high"},
		{name: "millivolts", log: "0,0.6,12500,12500,12500\n20,0.6,10500,10500,10500\n", temperature: "25", refused: "log_volts_high"},
		{name: "as high as on charge", log: "0,0.6,14.7,14.7,14.7\n20,0.6,10.5,10.5,10.5\n", temperature: "25", usedCut: "10.50", usedCoef: "0.006", pct: 100, accepted: true, good: true},
		{name: "above that", log: "0,0.6,14.71,14.7,14.7\n20,0.6,10.5,10.5,10.5\n", temperature: "25", refused: "log_volts_high"},
		{name: "leads the wrong way round", log: "0,0.6,12.5,-12.5,12.5\n20,0.6,10.5,-10.5,10.5\n", temperature: "25", refused: "log_volts_negative"},
		{name: "a cell that was driven below zero at the end", change: lithium, log: "0,2.4,3.3,3.3,3.3\n5,2.4,2.5,2.5,2.5\n5.1,2.4,-0.1,2.4,2.4\n", temperature: "25", usedCut: "2.5", usedCoef: "0", pct: 100, accepted: true, good: true},
		{name: "a cut-off of the whole pack", log: straight(0.6, 20, "10.5"), cutOff: "31.5", temperature: "25", refused: "too_big"},
		{name: "a cut-off in words", log: straight(0.6, 20, "10.5"), cutOff: "low", temperature: "25", refused: "not_a_number"},
		{name: "a coefficient in per cent", log: straight(0.6, 20, "10.5"), coef: "0.6", temperature: "25", refused: "too_big"},
		{name: "a coefficient below nothing", log: straight(0.6, 20, "10.5"), coef: "-0.006", temperature: "25", refused: "too_small"},
	} {
		t.Run(row.name, func(t *testing.T) {
			h := worktest.New(t)
			reform(t, h, func(p *models.PackForm) {
				p.CapacityAh = "12"
				if row.change != nil {
					row.change(p)
				}
			})
			s, ctx := build.New(h.Store, h.Clock), t.Context()
			log := must[models.CapacityLog](t)(build.ParseLog(row.log))
			in := build.NewTest{Started: h.Now.Add(-30 * time.Hour), TemperatureC: row.temperature, CutOffV: row.cutOff, CoefPerK: row.coef, Log: log}
			got, err := s.AddCapacityTest(ctx, h.Operator, h.Serial[models.KindPack], in)
			if row.refused != "" {
				if code := codeOf(err); code != row.refused {
					t.Fatalf("%v, want %s", err, row.refused)
				}
				return
			}
			h.Must(err)
			if got.CutOffV != row.usedCut || got.CoefPerK != row.usedCoef {
				t.Errorf("cut-off %s, coefficient %s; want %s and %s", got.CutOffV, got.CoefPerK, row.usedCut, row.usedCoef)
			}
			if got.Accepted != row.accepted || got.StoppedEarly != row.early || got.InRange != row.good {
				t.Errorf("accepted %v, stopped early %v, good %v; want %v, %v, %v", got.Accepted, got.StoppedEarly, got.InRange, row.accepted, row.early, row.good)
			}
			if pct := got.Blocks[0].PctOfRated; math.Abs(pct-row.pct) > 1e-6 {
				t.Errorf("%v %%, want %v", pct, row.pct)
			}
		})
	}
}

// What was judged stays judged: a later form of the product changes nothing of
// an earlier test.
func TestAnEarlierDischargeKeepsWhatItWasJudgedBy(t *testing.T) {
	h := worktest.New(t)
	twoStrings(t, h)
	s, ctx, serial := build.New(h.Store, h.Clock), t.Context(), h.Serial[models.KindPack]
	log := must[models.CapacityLog](t)(build.ParseLog(falling("1.2", 20, 18, 20, 20, 20, 30)))
	made := must[build.Tested](t)(s.AddCapacityTest(ctx, h.Operator, serial, build.NewTest{Started: h.Now.Add(-30 * time.Hour), TemperatureC: "25", Log: log}))
	reform(t, h, func(p *models.PackForm) { p.Strings, p.CapacityAh, p.Chemistry, p.Cells = 1, "40", "lifepo4", 1 })
	got := must[build.Tested](t)(s.CapacityTest(ctx, serial, made.ID))
	for i, b := range got.Blocks {
		if b != made.Blocks[i] {
			t.Errorf("block %s: %+v, was %+v", b.Name, b, made.Blocks[i])
		}
	}
	if got.AcceptPct != made.AcceptPct || got.Blocks[1].Name != "1.2" || got.Blocks[3].Name != "2.1" {
		t.Errorf("%v %%, blocks %q and %q", got.AcceptPct, got.Blocks[1].Name, got.Blocks[3].Name)
	}
}

func lithium(p *models.PackForm) { p.Chemistry, p.Cells = "lifepo4", 1 }

// reform gives the pack's product its next revision.
func reform(t *testing.T, h *worktest.Shop, change func(*models.PackForm)) {
	t.Helper()
	id := *h.Item[models.KindPack].ProductID
	form, err := h.Store.ProductForm(t.Context(), id)
	h.Must(err)
	p := *form.Form.Pack
	change(&p)
	h.Must(h.Store.AddProductRevision(t.Context(), models.NewStamp(h.Owner, h.Now), models.ProductRevision{ProductID: id, Revision: form.Revision + 1, Form: models.ProductForm{Pack: &p}, Reason: "as we test"}))
}

// codeOf is the code of the first problem.
func codeOf(err error) string {
	if invalid := (*models.InvalidError)(nil); errors.As(err, &invalid) {
		return invalid.Problems[0].Code
	}
	return ""
}
