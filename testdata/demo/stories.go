package demo

import "time"

// Stories is the truth behind what there is to be found. In the quiet scenario
// nothing of it is acted on, Told is false, and no lot is named.
type Stories struct {
	Told bool

	// RollerStand's guide roller wears from RollerFrom until it is replaced at
	// RollerReplaced: it adds a swing of up to RollerAtEnd mm, once a turn, to the
	// lateral readings.
	RollerStand                string
	RollerFrom, RollerReplaced time.Time
	RollerAtEnd                float64

	// SpokeLot loses about SpokeLoss of its tension in the weeks after building,
	// and some of its wheels come back with broken spokes.
	SpokeLot  string
	SpokeLoss float64

	// Gauge reads high by GaugeHigh (a share) from GaugeFrom until its
	// calibration at GaugeFound, and is then out of use.
	Gauge                 string
	GaugeFrom, GaugeFound time.Time
	GaugeHigh             float64

	// BlockLot falls by BlockFall V a day on the shelf; others by a tenth. So do
	// the blocks of StockLot, which wait for their packs.
	BlockLot, StockLot string
	BlockFall          float64

	// Improver's work gets better over the months: the part of the run-out that
	// she leaves falls to ImproverTo of what it was.
	Improver   string
	ImproverTo float64
}

// plant fixes the dates; lots are named when they are received.
func (m *maker) plant() Stories {
	day := func(share float64) time.Time { return m.days[int(share*float64(len(m.days)-1))] }
	return Stories{
		Told:        m.options.Scenario == Story,
		RollerStand: stand2, RollerFrom: day(0.52), RollerReplaced: day(0.80), RollerAtEnd: 0.26,
		SpokeLoss: 0.14,
		Gauge:     "T-32", GaugeFrom: day(0.30), GaugeFound: on(day(0.62), 7, 20), GaugeHigh: 0.048,
		BlockFall: 0.0055,
		Improver:  improver, ImproverTo: 0.5,
	}
}

// wear is what the worn roller adds to a lateral reading's swing, mm.
func (m *maker) wear(place string, t time.Time) float64 {
	s := m.stories
	if !s.Told || place != s.RollerStand || t.Before(s.RollerFrom) || !t.Before(s.RollerReplaced) {
		return 0
	}
	return s.RollerAtEnd * t.Sub(s.RollerFrom).Hours() / s.RollerReplaced.Sub(s.RollerFrom).Hours()
}

// gaugeFactor is how high a tension gauge reads.
func (m *maker) gaugeFactor(code string, t time.Time) float64 {
	s := m.stories
	if !s.Told || code != s.Gauge || t.Before(s.GaugeFrom) || !t.Before(s.GaugeFound) {
		return 1
	}
	return 1 + s.GaugeHigh
}

// skill is the part of the run-out that a builder leaves, as a factor.
func (m *maker) skill(builder string, t time.Time) float64 {
	switch {
	case !m.stories.Told:
		return 1
	case builder == m.stories.Improver:
		return 1.35 * (1 - (1-m.stories.ImproverTo)*m.share(t))
	}
	return builderSkill[builder]
}

// spokeLoss is the share of the tension that a wheel loses in its first weeks.
func (m *maker) spokeLoss(spokes *lot) float64 {
	if spokes.told {
		return m.random.normal(m.stories.SpokeLoss, 0.02)
	}
	return m.random.between(0.015, 0.045)
}

// blockFall is what a block's voltage falls by a day on the shelf, V.
func (m *maker) blockFall(from *lot) float64 {
	fall := m.stories.BlockFall / 10
	if from.told {
		fall = m.stories.BlockFall
	}
	return fall * m.random.between(0.7, 1.3)
}
