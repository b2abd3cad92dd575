package demo

import (
	"fmt"
	"time"

	"tracewright/models"
)

// gaugeLine is a gauge as it is registered; due counts days from the last
// working day to the end of the calibration it has today.
type gaugeLine struct {
	code, kind, name, place, unit, low, high, resolution, u string
	due                                                     int
}

// gaugeLines: one falls due soon, one is overdue and lies in the drawer.
var gaugeLines = []gaugeLine{
	{"L-21", "dial", "Dial indicator, stand 1", stand1, "mm", "-5", "5", "0.01", "0.02", 96},
	{"L-22", "dial", "Dial indicator, stand 2", stand2, "mm", "-5", "5", "0.01", "0.02", 18},
	{overdueDial, "dial", "Dial indicator, spare", "", "mm", "-5", "5", "0.01", "0.02", -33},
	{"T-31", "tension_gauge", "Tension gauge, stand 1", stand1, "N", "200", "2000", "1", "30", 143},
	{"T-32", "tension_gauge", "Tension gauge, stand 2", stand2, "N", "200", "2000", "1", "30", 0},
	{"T-33", "tension_gauge", "Tension gauge, spare", "", "N", "200", "2000", "1", "30", 260},
	{"D-41", "dish_gauge", "Dish gauge", "", "mm", "0", "120", "0.05", "0.10", 74},
	{"V-51", "voltmeter", "Bench voltmeter", bench1, "V", "-100", "100", "0.001", "0.004", 120},
	{"R-52", "resistance_meter", "Resistance meter, 1 kHz", bench1, "mohm", "0", "300", "0.01", "0.2", 120},
	{"H-53", "thermometer", "Bench thermometer", bench1, "degC", "-20", "60", "0.1", "0.5", 61},
}

const overdueDial = "L-19"

// makeInstruments registers the gauges as they are when the history begins. A
// gauge whose present calibration lies inside the history had one a year
// earlier, and is calibrated when its day comes.
func (m *maker) makeInstruments() error {
	for _, g := range gaugeLines {
		calibrated := m.days[len(m.days)-1].AddDate(-1, 0, g.due)
		if g.code == m.stories.Gauge {
			calibrated = m.stories.GaugeFound
		}
		i := models.Instrument{ID: m.newID(), Code: g.code, Kind: g.kind, Name: g.name, Place: g.place, Unit: g.unit, RangeLow: g.low, RangeHigh: g.high,
			Resolution: g.resolution, Uncertainty: g.u, State: models.InstrumentInUse}
		if calibrated.After(m.days[0]) {
			m.plan(m.atWork(on(calibrated, 7, 20)), func() error { return m.calibrate(g.code) })
			calibrated = calibrated.AddDate(-1, 0, 0)
		}
		m.certify(&i, calibrated)
		if err := m.store.AddInstrument(m.ctx, m.stamp(m.people.inspector), i); err != nil {
			return err
		}
		m.instruments[g.code] = i
	}
	return nil
}

// certify notes a calibration, good for a year.
func (m *maker) certify(i *models.Instrument, at time.Time) {
	i.CalibratedOn, i.DueOn = at.Format(time.DateOnly), at.AddDate(1, 0, 0).Format(time.DateOnly)
	i.CertificateNumber = fmt.Sprintf("K-%s-%03d", at.Format("06"), 100+m.random.IntN(800))
}

// calibrate is a gauge's yearly calibration. For the gauge of the story it is
// its end: it is found high and taken out, and the spare lies at its stand.
func (m *maker) calibrate(code string) error {
	i := m.instruments[code]
	m.certify(&i, m.clock)
	if m.stories.Told && code == m.stories.Gauge {
		i.State = models.InstrumentOut
		i.Name = fmt.Sprintf("Tension gauge, found %.1f %% high", 100*m.stories.GaugeHigh)
		spare := m.instruments["T-33"]
		spare.Name, spare.Place = "Tension gauge, stand 2", stand2
		if err := m.update(spare); err != nil {
			return err
		}
	}
	return m.update(i)
}

func (m *maker) update(i models.Instrument) error {
	m.instruments[i.Code] = i
	defer m.store.forget()
	return m.store.UpdateInstrument(m.ctx, m.stamp(m.people.inspector), i)
}

// tensionGauge is the one that lies at a stand on a day.
func (m *maker) tensionGauge(place string, t time.Time) string {
	switch {
	case place == stand1:
		return "T-31"
	case m.stories.Told && !t.Before(m.stories.GaugeFound):
		return "T-33"
	}
	return "T-32"
}
