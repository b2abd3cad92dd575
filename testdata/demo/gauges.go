package demo

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
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
			m.plan(m.atWork(on(calibrated, 7, 20)), func() error { return m.calibrate(g) })
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

// calibrate is a gauge's yearly calibration, at three points of its range or,
// for one of spokes, at those that spokes come to. For the gauge of the story it is
// its end: it is found high, goes out of use, and the spare lies at its stand.
func (m *maker) calibrate(g gaugeLine) error {
	i := m.instruments[g.code]
	m.certify(&i, m.clock)
	found := m.stories.Told && g.code == m.stories.Gauge
	if found {
		i.Name = fmt.Sprintf("Tension gauge, found %.1f %% high", 100*m.stories.GaugeHigh)
		if err := m.update(i); err != nil {
			return err
		}
		spare := m.instruments["T-33"]
		spare.Name, spare.Place = "Tension gauge, stand 2", stand2
		if err := m.update(spare); err != nil {
			return err
		}
	}
	points, err := g.points(found, m.stories.GaugeHigh)
	if err != nil {
		return err
	}
	out, err := m.gauges.Calibrate(m.ctx, actor(m.people.inspector), g.code, gauges.NewCalibration{Certificate: i.CertificateNumber, DueOn: i.DueOn, By: "Prüfstelle Hafen", Standard: "reference of the laboratory", Points: points})
	if err != nil {
		return fmt.Errorf("calibrate %s: %w", g.code, err)
	}
	if found != (out.Trace != nil) {
		return fmt.Errorf("gauge %s was found good: %v", g.code, !found)
	}
	now, err := m.gauges.Instrument(m.ctx, g.code)
	m.instruments[g.code] = now.Instrument
	return err
}

// points are those of a calibration: right to a step of the gauge, or high by a
// share. What is allowed is the gauge's uncertainty, or a step where that is less.
func (g gaugeLine) points(wrong bool, high float64) ([]models.CalibrationPoint, error) {
	low, errLow := strconv.ParseFloat(g.low, 64)
	top, errHigh := strconv.ParseFloat(g.high, 64)
	if err := errors.Join(errLow, errHigh); err != nil {
		return nil, fmt.Errorf("range of %s: %w", g.code, err)
	}
	references := []float64{low, (low + top) / 2, top}
	if g.kind == gauges.TensionGauge {
		references = []float64{300, 600, 900, 1200, 1500, 1800}
	}
	_, decimals, _ := strings.Cut(g.resolution, ".")
	var points []models.CalibrationPoint
	for _, r := range references {
		read := r
		if wrong {
			read *= 1 + high
		}
		show := func(x float64) string { return strconv.FormatFloat(x, 'f', len(decimals), 64) }
		points = append(points, models.CalibrationPoint{Reference: show(r), AsFound: show(read), Tolerance: g.u})
	}
	return points, nil
}

// planChecks asks for a short check of three gauges, and has it done when each
// working day begins.
func (m *maker) planChecks() error {
	chance := newRandom(m.options.Seed + 29) // beside the shop's own: these change nothing else
	for _, x := range []struct {
		code   string
		check  gauges.NewCheck
		spread float64
		by     string
	}{
		{"L-21", gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "-0.02", High: "0.02"}, 0.006, "%.2f"},
		{"T-31", gauges.NewCheck{What: models.CheckWeight, Piece: "HW-80", Reference: "785", Low: "770", High: "800"}, 3, "%.0f"},
		{"V-51", gauges.NewCheck{What: models.CheckOfOtherKind, Piece: "12 V cell", Reference: "12.000", Low: "11.990", High: "12.010"}, 0.002, "%.3f"},
	} {
		c, err := m.gauges.AddCheck(m.ctx, actor(m.people.inspector), x.code, x.check)
		if err != nil {
			return fmt.Errorf("check of %s: %w", x.code, err)
		}
		reference, err := strconv.ParseFloat(x.check.Reference, 64)
		if err != nil {
			return fmt.Errorf("check of %s: %w", x.code, err)
		}
		for _, day := range m.days {
			value := fmt.Sprintf(x.by, max(reference-3*x.spread, min(reference+3*x.spread, chance.normal(reference, x.spread))))
			m.plan(on(day, 7, 2+chance.IntN(9)), func() error {
				_, err := m.gauges.Check(m.ctx, actor(m.people.inspector), x.code, c.ID, m.newID(), value)
				return err
			})
		}
	}
	return nil
}

func (m *maker) update(i models.Instrument) error {
	m.instruments[i.Code] = i
	defer m.store.forget()
	_, err := m.store.ChangeInstrument(m.ctx, m.stamp(m.people.inspector), i.ID, func(now *models.Instrument) error { *now = i; return nil })
	return err
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
