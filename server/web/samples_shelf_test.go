package web

import (
	"fmt"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/trade/pack"
	"tracewright/models/work/build"
	"tracewright/models/work/shelf"
)

// sampleShelf has a pack in each state, and more later than are shown.
func sampleShelf() shelf.Look {
	today := time.Date(2027, 5, 24, 0, 0, 0, 0, time.UTC)
	row := func(serial string, state shelf.State, days int) *shelf.Row {
		return &shelf.Row{Item: models.Item{ID: "i" + serial, Kind: models.KindPack, Serial: text(serial), CreatedAt: sampleNow.AddDate(0, -6, 0)}, Product: "Tamsin 48", Form: &models.PackForm{Chemistry: "agm"}, Place: "loft 1", TempC: 28.5,
			TempKnown: days != 3, State: state, Reading: &models.RestedReading{MeasuredAt: sampleNow.AddDate(0, -5, 0), OCV25: 12.594}, SoCPct: number(68.4 + float64(days)/10), SoCMin: 70, ChargeBy: today.AddDate(0, 0, days),
			GovernedBy: shelf.ByCharge, IntervalDays: 138, ReadyUntil: today.AddDate(0, 0, days-3), Due: today.AddDate(0, 0, days), DueBy: shelf.ByCharge, DaysLeft: days, Out: 3, Made: sampleNow.AddDate(0, -6, 0), Rest: 24, Opens: sampleNow.Add(time.Hour),
			Charge: &models.ChargeView{Charge: models.Charge{ID: "c1", StartedAt: sampleNow.Add(-time.Hour)}}}
	}
	look := shelf.Look{Day: today, Packs: 22, Blocks: 3, Warmest: "loft 1", Today: []*shelf.Row{row("P270009QV", shelf.Standing, -12), row("P270009RS", shelf.Standing, 0)}, Soon: []*shelf.Row{row("P270009TN", shelf.Standing, 3)},
		Waiting: []*shelf.Row{row("P270009WH", shelf.Charging, 0), row("P270009XF", shelf.Resting, 0), row("P270009YD", shelf.ToRead, 0), row("P270009ZB", shelf.NeverRead, 0)}}
	look.Today[1].DueBy, look.Today[1].Wanted, look.Soon[0].DueBy = shelf.ByReady, "2027-06-01", shelf.ByAge
	for i := range laterShown + 3 {
		look.Later = append(look.Later, row("P27000A0"+string(rune('A'+i)), shelf.Standing, 30+i))
	}
	look.Later[0].SoCPct, look.Later[0].ReadyUntil = nil, time.Time{}
	look.Next = look.Today[0]
	return look
}

// sampleDischarge is four blocks of which the third fell first and the fourth
// did not come to its cut-off.
func sampleDischarge() build.Tested {
	t := build.Tested{CapacityTest: models.CapacityTest{ID: "t1", StartedAt: sampleNow, TemperatureC: "12.5", ReferenceC: "25", CoefPerK: "0.006", RatedAh: "14", CutOffV: "10.50", Strings: 1, AcceptPct: "95"}, CurrentA: 0.7, AcceptPct: 95, Weakest: 3}
	t.Content.Volts = make([][]string, 4)
	for i := range 900 {
		t.Content.Hours = append(t.Content.Hours, fmt.Sprintf("%.3f", float64(i)/45))
		for b := range t.Content.Volts {
			t.Content.Volts[b] = append(t.Content.Volts[b], fmt.Sprintf("%.3f", 12.8-2.4*float64(i*i)/810000-0.05*float64(b)))
		}
	}
	for b := range 4 {
		t.Blocks = append(t.Blocks, build.TestedBlock{Place: b + 1, Name: strconv.Itoa(b + 1), Reached: b < 3, Hours: 19.2, Capacity: pack.Capacity{MeasuredAh: 13.4, CorrectedAh: 14.4, PctOfRated: 103}})
	}
	return t
}
