package demo

import (
	"slices"
	"time"
)

// job is one piece of a day's work.
type job struct {
	at time.Time
	do func(at time.Time) error
}

// work goes through the working days, one after the other.
func (m *maker) work() error {
	wheels, packs := 0, 0
	for i, day := range m.days {
		jobs := m.dueWork(day)
		for ; wheels < m.options.Wheels*(i+1)/len(m.days); wheels++ {
			n := m.random.IntN(len(m.people.builders))
			builder := m.people.builders[n]
			// Builders change stands every week, so that the two are not the same thing.
			_, week := day.ISOWeek()
			place := []string{stand1, stand2}[(n+week)%2]
			jobs = append(jobs, job{m.moment(day), func(at time.Time) error { return m.buildWheel(at, builder, place) }})
		}
		for ; packs < m.options.Packs*(i+1)/len(m.days); packs++ {
			jobs = append(jobs, job{m.moment(day), m.buildPack})
		}
		if m.stories.Told && day.Equal(m.stories.GaugeFound) {
			jobs = append(jobs, job{day.Add(7 * time.Hour), func(at time.Time) error { m.clock = at; return m.takeGaugeOut() }})
		}
		if i == len(m.days)*2/3 {
			jobs = append(jobs, job{day.Add(12 * time.Hour), func(at time.Time) error { m.clock = at; return m.reviseSpecification() }})
		}
		slices.SortStableFunc(jobs, func(a, b job) int { return a.at.Compare(b.at) })
		for _, j := range jobs {
			if err := j.do(j.at); err != nil {
				return err
			}
		}
	}
	m.summary.Wheels, m.summary.Packs = wheels, packs
	return nil
}

// moment is a time of a working day, 7:30 to 15:30.
func (m *maker) moment(day time.Time) time.Time {
	return day.Add(7*time.Hour + 30*time.Minute + time.Duration(m.random.IntN(8*3600))*time.Second)
}

// dueWork takes what was planned for a day or before it.
func (m *maker) dueWork(day time.Time) []job {
	var due []job
	m.laterWork = slices.DeleteFunc(m.laterWork, func(l later) bool {
		if !l.at.Before(day.AddDate(0, 0, 1)) {
			return false
		}
		due = append(due, job{m.moment(day), func(at time.Time) error { m.clock = at; return l.do() }})
		return true
	})
	return due
}
