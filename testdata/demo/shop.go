package demo

import (
	"fmt"
	"time"

	"tracewright/models"
)

const (
	shopZone = "Europe/Dublin"
	stand1   = "stand 1"
	stand2   = "stand 2"
	bench1   = "bench 1"
	improver = "Rhea Sund"
)

type people struct {
	owner, inspector, desk, packs models.Person
	builders                      []models.Person
}

// builderSkill is the part of the run-out that each leaves; the improver's
// changes with time.
var builderSkill = map[string]float64{"Bram Odell": 0.95, "Ilse Corvin": 0.88, "Tomos Hale": 1.06}

func (m *maker) makeShop() error {
	opening := models.NewStamp(models.Actor{}, m.clock)
	for _, s := range [][2]string{
		{models.SettingShopName, "Brackenlow Wheel and Pack"},
		{models.SettingShopAddress, "7 Tannery Row, Brackenlow"},
		{models.SettingTimeZone, shopZone},
	} {
		if err := m.store.SetSetting(m.ctx, opening, s[0], s[1]); err != nil {
			return err
		}
	}
	add := func(name, login string, role models.Role) (models.Person, error) {
		p := models.Person{ID: models.NewID(), Name: name, Role: role, Active: true, CreatedAt: m.clock}
		if login != "" {
			p.Login = &login
		}
		return p, m.store.AddPerson(m.ctx, opening, p)
	}
	var err error
	for _, x := range []struct {
		name, login string
		role        models.Role
		into        *models.Person
	}{
		{"Mirela Tarn", "mirela", models.Owner, &m.people.owner}, {"Okan Veld", "okan", models.Inspector, &m.people.inspector},
		{"Sanna Brook", "sanna", models.Desk, &m.people.desk}, {"Nadia Frome", "", models.Operator, &m.people.packs},
	} {
		if *x.into, err = add(x.name, x.login, x.role); err != nil {
			return err
		}
	}
	for _, name := range []string{"Bram Odell", "Ilse Corvin", "Tomos Hale", improver} {
		b, err := add(name, "", models.Operator)
		if err != nil {
			return err
		}
		m.people.builders = append(m.people.builders, b)
	}
	return m.makeInstruments()
}

// makeInstruments registers the gauges as they were when the history begins;
// what happens to T-32 comes with its story.
func (m *maker) makeInstruments() error {
	last := m.days[len(m.days)-1]
	for _, g := range []struct {
		code, kind, name, place, unit, low, high, resolution, u string
		due                                                     int // days from the last working day
	}{
		{"L-21", "dial", "Dial indicator, stand 1", stand1, "mm", "-5", "5", "0.01", "0.02", 96},
		{"L-22", "dial", "Dial indicator, stand 2", stand2, "mm", "-5", "5", "0.01", "0.02", 18},
		{"L-19", "dial", "Dial indicator, spare", "", "mm", "-5", "5", "0.01", "0.02", -33},
		{"T-31", "tension_gauge", "Tension gauge, stand 1", stand1, "N", "200", "2000", "1", "30", 143},
		{"T-32", "tension_gauge", "Tension gauge, stand 2", stand2, "N", "200", "2000", "1", "30", 201},
		{"T-33", "tension_gauge", "Tension gauge, new", stand2, "N", "200", "2000", "1", "30", 260},
		{"D-41", "dish_gauge", "Dish gauge", "", "mm", "0", "120", "0.05", "0.10", 74},
		{"V-51", "voltmeter", "Bench voltmeter", bench1, "V", "-100", "100", "0.001", "0.004", 120},
		{"R-52", "resistance_meter", "Resistance meter, 1 kHz", bench1, "mohm", "0", "300", "0.01", "0.2", 120},
		{"H-53", "thermometer", "Bench thermometer", bench1, "degC", "-20", "60", "0.1", "0.5", 61},
	} {
		due := last.AddDate(0, 0, g.due)
		i := models.Instrument{ID: models.NewID(), Code: g.code, Kind: g.kind, Name: g.name, Place: g.place, Unit: g.unit, RangeLow: g.low, RangeHigh: g.high,
			Resolution: g.resolution, Uncertainty: g.u, CalibratedOn: due.AddDate(-1, 0, 0).Format(time.DateOnly), DueOn: due.Format(time.DateOnly),
			CertificateNumber: fmt.Sprintf("K-%s-%03d", due.AddDate(-1, 0, 0).Format("06"), 100+len(m.instruments)*7), State: models.InstrumentInUse}
		if err := m.store.AddInstrument(m.ctx, models.NewStamp(actor(m.people.inspector), m.clock), i); err != nil {
			return err
		}
		m.instruments[g.code] = i
	}
	return nil
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

// takeGaugeOut is the end of the gauge's story: its calibration finds it high.
func (m *maker) takeGaugeOut() error {
	g := m.instruments[m.stories.Gauge]
	g.State, g.CalibratedOn = models.InstrumentOut, m.clock.Format(time.DateOnly)
	g.Name = "Tension gauge, found 4.8 % high"
	m.instruments[g.Code] = g
	return m.store.UpdateInstrument(m.ctx, m.stamp(m.people.inspector), g)
}
