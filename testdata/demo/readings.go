package demo

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// reader is who reads with what, and what is wrong with it.
type reader struct {
	place, dial, gauge string
	comma, kgf         bool
	wear               float64 // mm that a worn roller adds to the lateral swing
	high               float64 // factor of the tension gauge
}

// reader is a person at a stand at this moment. In the quiet scenario all type
// alike.
func (m *maker) reader(person models.Person, place string) reader {
	by := reader{place: place, dial: "L-21", gauge: m.tensionGauge(place, m.clock), wear: m.wear(place, m.clock)}
	if place == stand2 {
		by.dial = "L-22"
	}
	by.high = m.gaugeFactor(by.gauge, m.clock)
	if m.stories.Told {
		by.comma, by.kgf = person.Name == "Ilse Corvin", person.Name == "Bram Odell"
	}
	return by
}

// typed is a number as this person types it.
func (by reader) typed(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if by.comma {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}

// wheelSets is what is read of a wheel, by every hole or by extremes and a
// sample.
func (m *maker) wheelSets(p product, r *rim, by reader, every bool, ticks []string) []models.SentSet {
	sets := []models.SentSet{m.runOutSet(r, lateral, by, every), m.runOutSet(r, radial, by, every)}
	distance := 56 + math.Round(m.random.between(0, 4)*20)/20
	sets = append(sets, models.SentSet{Characteristic: kinds.Dish, Method: models.Whole, Instrument: "D-41", Unit: "mm", Index: []models.Position{models.Spoke(0), models.Spoke(1)},
		Values: []string{by.typed(math.Round((distance-r.dish)*20)/20, 2), by.typed(math.Round((distance+r.dish)*20)/20, 2)}})
	for side, code := range []string{kinds.TensionA, kinds.TensionB} {
		sets = append(sets, m.tensionSet(p, r, by, every, side, code))
	}
	for i, code := range wheelTicks {
		sets = append(sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{ticks[i]}})
	}
	return sets
}

// runOutSet is what the dial shows, to its 0.01 mm. Half of those who read
// every hole read the first one again at the end.
func (m *maker) runOutSet(r *rim, channel int, by reader, every bool) models.SentSet {
	phase := m.random.phase()
	shown := make([]float64, r.holes, r.holes+1)
	for j := range shown {
		y := r.at(channel, j, 1) + m.random.normal(0, 0.005)
		if channel == lateral {
			y += by.wear / 2 * math.Cos(2*math.Pi*float64(j)/float64(r.holes)-phase)
		}
		shown[j] = math.Round(y*100) / 100
	}
	set := models.SentSet{Characteristic: channelCodes[channel], Method: models.EveryHole, Instrument: by.dial, Unit: "mm"}
	if every {
		if m.random.chance(0.5) {
			shown = append(shown, math.Round((shown[0]+m.random.normal(0, 0.006))*100)/100)
		}
		for j, y := range shown {
			set.Values, set.Index = append(set.Values, by.typed(y, 2)), append(set.Index, models.Spoke(j%r.holes))
		}
		return set
	}
	high, low := 0, 0
	for j, y := range shown {
		if y > shown[high] {
			high = j
		}
		if y < shown[low] {
			low = j
		}
	}
	set.Method, set.Values, set.Index = models.Extremes, []string{by.typed(shown[high], 2), by.typed(shown[low], 2)}, []models.Position{models.Spoke(high), models.Spoke(low)}
	return set
}

func (m *maker) tensionSet(p product, r *rim, by reader, every bool, side int, code string) models.SentSet {
	set := models.SentSet{Characteristic: code, Method: models.EveryHole, Instrument: by.gauge, Unit: "N"}
	var spokes []int
	if every {
		for j := side; j < r.holes; j += 2 {
			spokes = append(spokes, j)
		}
	} else {
		set.Method, spokes = models.Sample, p.sample[side]
	}
	for _, j := range spokes {
		x := r.tension[j] * by.high * (1 + m.random.normal(0, 0.012))
		if by.kgf {
			set.Unit = "kgf"
			x /= 9.80665 // kilogram-force by definition, 3rd CGPM 1901
		}
		set.Values, set.Index = append(set.Values, fmt.Sprintf("%.0f", x)), append(set.Index, models.Spoke(j))
	}
	return set
}

var wheelTicks = []string{"spokes_seated", "nipples_flush", "cable_sound", "axle_thread", "spins_freely", "washer_seat"}

var yes = []string{"yes", "yes", "yes", "yes", "yes", "yes"}

// ticks is the answered list: mostly yes, a washer seat that does not apply, a
// no now and then.
func (m *maker) ticks() []string {
	list := append([]string{}, yes...)
	if m.random.chance(0.12) {
		list[5] = "na"
	}
	if m.random.chance(0.02) {
		list[m.random.IntN(5)] = "no"
	}
	return list
}

// limitOf is the upper limit of a characteristic's first result that has one.
func limitOf(spec models.Specification, code string) float64 {
	c, _ := spec.Characteristic(code)
	for _, l := range c.Results {
		if high, err := strconv.ParseFloat(l.High, 64); err == nil {
			return high
		}
	}
	return math.Inf(1)
}
