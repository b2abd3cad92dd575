package build

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// Tested is a capacity test with what follows from its log.
type Tested struct {
	models.CapacityTest
	Content   models.CapacityLog
	CurrentA  float64 // of the whole pack
	Blocks    []TestedBlock
	Weakest   int // place of the first block at its cut-off; 0 when none reached it
	AcceptPct float64
	Accepted  bool // every block gave its share, from a start where the figures are good
	// StoppedEarly says that no block had come to its cut-off, so that what they
	// would have given is not known: neither accepted nor below.
	StoppedEarly bool
	// InRange says that it started at a temperature at which the figures are good;
	// one that did not is neither accepted nor below.
	InRange bool
}

// TestedBlock is one block: what it gave until its own cut-off.
type TestedBlock struct {
	Place   int    // of all blocks of the pack, from 1
	Name    string // "3", or "2.1" where strings stand side by side
	Reached bool   // its cut-off; otherwise it gave at least this
	Hours   float64
	pack.Capacity
}

// lithiumWithinK is how near the reference temperature a block without a
// correction is tested. Common practice, no source.
const lithiumWithinK = 3.0

// evaluated computes each block: the hours until its voltage has first fallen
// to its cut-off, between two rows in proportion, and from them Ah = I t, corrected
// to the reference temperature (pack.Discharge). The current of the log is the
// whole pack's: strings side by side are taken to share it evenly.
func evaluated(t models.CapacityTest) (Tested, error) {
	out := Tested{CapacityTest: t}
	if err := json.Unmarshal([]byte(t.Log), &out.Content); err != nil {
		return Tested{}, fmt.Errorf("read the log of test %s: %w", t.ID, err)
	}
	var cut, temp float64
	d := pack.Discharge{}
	for _, f := range []struct {
		text string
		into *float64
	}{{t.RatedAh, &d.RatedAh}, {t.CutOffV, &cut}, {t.CoefPerK, &d.CoefPerK}, {t.ReferenceC, &d.ReferenceC}, {t.TemperatureC, &temp}, {t.AcceptPct, &out.AcceptPct}} {
		x, err := measure.ParseReading(f.text)
		if err != nil {
			return Tested{}, fmt.Errorf("figure %q of test %s: %w", f.text, t.ID, err)
		}
		*f.into = x.Float()
	}
	hours := floats(out.Content.Hours)
	out.CurrentA = math.Abs(middle(floats(out.Content.Amps)))
	d.TempC, d.CurrentA = temp, out.CurrentA/float64(max(1, t.Strings))
	first, enough := math.Inf(1), true
	for b, column := range out.Content.Volts {
		block := TestedBlock{Place: b + 1, Name: blockName(b, len(out.Content.Volts), t.Strings)}
		block.Hours, block.Reached = until(hours, floats(column), cut)
		d.Hours = block.Hours
		var err error
		if block.Capacity, err = d.Corrected(); err != nil {
			return Tested{}, models.Invalid("log", "log_gives_nothing", "place", block.Name)
		}
		if block.Reached && block.Hours < first {
			first, out.Weakest = block.Hours, block.Place
		}
		out.Blocks = append(out.Blocks, block)
		out.InRange = block.InRange
		enough = enough && block.PctOfRated >= out.AcceptPct-1e-9
	}
	if d.CoefPerK == 0 {
		out.InRange = math.Abs(temp-d.ReferenceC) <= lithiumWithinK
	}
	out.Accepted, out.StoppedEarly = enough && out.InRange, !enough && out.Weakest == 0
	return out, nil
}

// blockName is the place of a block as a shop says it: string and place where
// there are several strings.
func blockName(index, blocks, strings int) string {
	if strings < 2 {
		return strconv.Itoa(index + 1)
	}
	each := blocks / strings
	return strconv.Itoa(index/each+1) + "." + strconv.Itoa(index%each+1)
}

// until gives the hours from the first row until a voltage has fallen to the
// cut-off, or all of them.
func until(hours, volts []float64, cutOff float64) (float64, bool) {
	for i, v := range volts {
		if v > cutOff {
			continue
		}
		if i == 0 {
			return 0, true
		}
		share := (volts[i-1] - cutOff) / (volts[i-1] - v)
		return hours[i-1] + share*(hours[i]-hours[i-1]) - hours[0], true
	}
	return hours[len(hours)-1] - hours[0], false
}

func floats(list []string) []float64 {
	out := make([]float64, len(list))
	for i, text := range list {
		out[i], _ = strconv.ParseFloat(text, 64) // Checked when it was added.
	}
	return out
}

// hoursOf is how long a discharge took until its first block was at its cut-off.
func hoursOf(log models.CapacityLog, cutOff string) float64 {
	d, err := measure.ParseReading(cutOff)
	if err != nil {
		return 0 // Said elsewhere.
	}
	least, at := math.Inf(1), floats(log.Hours)
	for _, column := range log.Volts {
		hours, _ := until(at, floats(column), d.Float())
		least = math.Min(least, hours)
	}
	return least
}
