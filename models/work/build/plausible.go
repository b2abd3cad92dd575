package build

import (
	"math"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

const (
	// mostOfRated is the share of its rated capacity above which no block gives: new
	// ones give up to a fifth more than they are sold for, and a tenth of that again
	// at 35 degrees, the warmest a test is good at (0.01 per K), which makes 1.32. A
	// slip of the unit makes 60 or 1000. Common practice, no source.
	mostOfRated = 1.5
	// mostRate is how many times its rated capacity an hour a block is discharged
	// with at most. Tests of capacity take 20 h (0.05 times) to 1 h (once), so that
	// even the slowest, its milliamperes read as amperes, makes 50 times; 10 lies
	// far from both. Common practice, no source.
	mostRate = 10
)

// plausible refuses a log whose figures cannot be what they are read as: a test
// longer than the time since it began, by as much as clocks may differ; a current or
// a voltage in another unit; a block measured the wrong way round. No block stands
// above the highest usual voltage of its charge (pack.ChargingVoltage) while it is
// discharged. One that was driven below zero at the end is possible. since is the time since the test began.
func plausible(invalid *models.InvalidError, log models.CapacityLog, form models.PackForm, since time.Duration) {
	hours, figure := floats(log.Hours), func(x float64, unit string) string { return strconv.FormatFloat(x, 'g', 6, 64) + " " + unit }
	if ran := hours[len(hours)-1] - hours[0]; ran > (since + ahead).Hours() {
		invalid.Add("log", "log_longer", "got", figure(ran, "h"), "most", figure(math.Max(0, math.Floor(since.Hours()*100)/100), "h"))
	}
	if rated := floats([]string{form.CapacityAh})[0]; rated > 0 {
		most := mostRate * rated * float64(max(1, form.Strings))
		if amps := math.Abs(middle(floats(log.Amps))); amps > most {
			invalid.Add("log", "log_amps_high", "got", figure(amps, "A"), "most", figure(most, "A"))
		}
	}
	ceiling, _, err := pack.ChargingVoltage(pack.Chemistry(form.Chemistry), form.Cells)
	for b, column := range log.Volts {
		volts, name := floats(column), blockName(b, len(log.Volts), form.Strings)
		top := slices.Max(volts)
		if err == nil && top > ceiling {
			line := slices.Index(volts, top) + 1
			invalid.Add("log", "log_volts_high", "line", strconv.Itoa(line), "place", name, "got", figure(top, "V"), "most", figure(ceiling, "V"))
			return
		}
		if top < 0 {
			invalid.Add("log", "log_volts_negative", "place", name, "got", figure(top, "V"))
			return
		}
	}
}

// given refuses a test by which a block gave more than any does.
func given(t Tested) error {
	rated := floats([]string{t.RatedAh})[0]
	for _, b := range t.Blocks {
		if b.MeasuredAh > mostOfRated*rated {
			pct := func(share float64) string { return strconv.FormatFloat(100*share, 'f', 0, 64) + " %" }
			return models.Invalid("log", "log_gives_too_much", "place", b.Name, "got", strconv.FormatFloat(b.MeasuredAh, 'f', 1, 64)+" Ah", "value", pct(b.MeasuredAh/rated), "most", pct(mostOfRated))
		}
	}
	return nil
}
