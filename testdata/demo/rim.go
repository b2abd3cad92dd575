package demo

import (
	"fmt"
	"math"
	"strings"

	"tracewright/models"
)

// wave is one harmonic of a rim's run-out.
type wave struct {
	k                int
	amplitude, phase float64
}

// rim is a wheel's shape, mm, and its tensions, N: what the rim was made with,
// and what the builder left.
type rim struct {
	holes            int
	made, left       [2][]wave // lateral, radial
	mean             [2]float64
	dish             float64
	tension          []float64
	evenness         float64
	meanTight, ratio float64
}

// newRim is a wheel as it stands at the first reading after relief.
func (m *maker) newRim(p product, rims *lot, skill float64) *rim {
	r := &rim{holes: p.form.Wheel.Holes, evenness: 0.042, meanTight: m.random.normal(p.tight, 24), ratio: p.ratio, dish: m.random.normal(0, 0.26)}
	scale := [2]float64{1, 1.45}
	for c := range r.made {
		for k, size := range map[int]float64{1: 0.016, 2: 0.020, 3: 0.012, 4: 0.010} {
			r.made[c] = append(r.made[c], wave{k, 0, 0})
			r.made[c][len(r.made[c])-1].amplitude = size
		}
		r.made[c] = m.sorted(r.made[c], scale[c]*rims.level)
		r.left[c] = m.sorted([]wave{{1, 0.044, 0}, {2, 0.036, 0}, {3, 0.016, 0}}, scale[c]*skill)
		r.mean[c] = m.random.normal(0, 0.05)
	}
	r.spread(m)
	return r
}

// sorted draws amplitudes and phases in the order of the harmonics, so that a
// seed stays a shop.
func (m *maker) sorted(list []wave, scale float64) []wave {
	out := make([]wave, 0, len(list))
	for k := 1; k <= 4; k++ {
		for _, w := range list {
			if w.k == k {
				out = append(out, wave{k, m.random.skewed(w.amplitude*scale, 0.38), m.random.between(0, 2*math.Pi)})
			}
		}
	}
	return out
}

// spread draws each spoke's tension about its side's mean.
func (r *rim) spread(m *maker) {
	a, b := r.meanTight, r.meanTight/r.ratio
	if r.ratio < 1 {
		a, b = r.meanTight*r.ratio, r.meanTight
	}
	r.tension = make([]float64, r.holes)
	for j := range r.tension {
		mean := a
		if j%2 == 1 {
			mean = b
		}
		r.tension[j] = mean * (1 + m.random.normal(0, r.evenness))
	}
}

// trued is one round of truing: the builder's part shrinks, the rim's stays.
func (r *rim) trued(m *maker) {
	for c := range r.left {
		for i := range r.left[c] {
			r.left[c][i].amplitude *= m.random.between(0.30, 0.58)
		}
	}
	r.dish *= 0.4
	r.evenness *= 0.86
	r.spread(m)
}

func (r *rim) at(channel, station int) float64 {
	theta := 2 * math.Pi * float64(station) / float64(r.holes)
	y := r.mean[channel]
	for _, list := range [][]wave{r.made[channel], r.left[channel]} {
		for _, w := range list {
			y += w.amplitude * math.Cos(float64(w.k)*theta-w.phase)
		}
	}
	return y
}

// reader is who reads with what.
type reader struct {
	place, dial, gauge string
	comma, kgf         bool
	wear               float64 // mm that a worn roller adds to the lateral swing
	high               float64 // factor of the tension gauge
}

// readings is one indicator set, station by station, as the dial shows it.
func (m *maker) readings(r *rim, channel int, by reader) []float64 {
	phase := m.random.between(0, 2*math.Pi)
	list := make([]float64, r.holes)
	for j := range list {
		y := r.at(channel, j) + m.random.normal(0, 0.005)
		if channel == 0 {
			y += by.wear / 2 * math.Cos(2*math.Pi*float64(j)/float64(r.holes)-phase)
		}
		list[j] = math.Round(y*100) / 100
	}
	return list
}

// typed is a number as this person types it.
func (by reader) typed(x float64, decimals int) string {
	text := fmt.Sprintf("%.*f", decimals, x)
	if by.comma {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}

// wheelSets is what is read of a wheel, by every hole or by extremes.
func (m *maker) wheelSets(p product, r *rim, by reader, every bool, ticks []string) []models.SentSet {
	var sets []models.SentSet
	for channel, code := range []string{"lateral_runout", "radial_runout"} {
		list := m.readings(r, channel, by)
		set := models.SentSet{Characteristic: code, Method: models.EveryHole, Instrument: by.dial, Unit: "mm"}
		if every {
			for j, y := range list {
				set.Values, set.Index = append(set.Values, by.typed(y, 2)), append(set.Index, models.Spoke(j))
			}
		} else {
			high, low := 0, 0
			for j, y := range list {
				if y > list[high] {
					high = j
				}
				if y < list[low] {
					low = j
				}
			}
			set.Method, set.Values, set.Index = models.Extremes, []string{by.typed(list[high], 2), by.typed(list[low], 2)}, []models.Position{models.Spoke(high), models.Spoke(low)}
		}
		sets = append(sets, set)
	}
	distance := 56 + math.Round(m.random.between(0, 4)*20)/20
	sets = append(sets, models.SentSet{Characteristic: "dish", Method: models.Whole, Instrument: "D-41", Unit: "mm", Index: []models.Position{models.Spoke(0), models.Spoke(1)},
		Values: []string{by.typed(math.Round((distance-r.dish)*20)/20, 2), by.typed(math.Round((distance+r.dish)*20)/20, 2)}})
	for side, code := range []string{"tension_a", "tension_b"} {
		sets = append(sets, m.tensionSet(p, r, by, every, side, code))
	}
	for i, code := range wheelTicks {
		sets = append(sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{ticks[i]}})
	}
	return sets
}

func (m *maker) tensionSet(p product, r *rim, by reader, every bool, side int, code string) models.SentSet {
	set := models.SentSet{Characteristic: code, Method: models.EveryHole, Instrument: by.gauge, Unit: "N"}
	var spokes []int
	if every {
		for j := side; j < r.holes; j += 2 {
			spokes = append(spokes, j)
		}
	} else {
		c, _ := p.spec.Characteristic(code)
		spokes, set.Method = c.Sample, models.Sample
		if len(spokes) == 0 || spokes[len(spokes)-1] >= r.holes {
			spokes = []int{side, r.holes/3/2*2 + side, 2*r.holes/3/2*2 + side}
		}
	}
	for _, j := range spokes {
		x := r.tension[j] * by.high * (1 + m.random.normal(0, 0.012))
		if by.kgf {
			set.Unit = "kgf"
			x /= 9.80665
		}
		set.Values, set.Index = append(set.Values, fmt.Sprintf("%.0f", x)), append(set.Index, models.Spoke(j))
	}
	return set
}

var wheelTicks = []string{"spokes_seated", "nipples_flush", "cable_sound", "axle_thread", "spins_freely", "washer_seat"}
