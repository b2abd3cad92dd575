package demo

import (
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
var builderSkill = map[string]float64{"Bram Odell": 0.98, "Ilse Corvin": 0.94, "Tomos Hale": 1.03}

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
		p := models.Person{ID: m.newID(), Name: name, Role: role, Active: true, CreatedAt: m.clock}
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

// standOf is where a builder works: builders change stands every week, so that
// the two are not the same thing.
func (m *maker) standOf(builder int, t time.Time) string {
	_, week := t.ISOWeek()
	return []string{stand1, stand2}[(builder+week)%2]
}
