package demo

import (
	"container/heap"
	"time"
)

// workDays is how many working days the shop has behind it: about nine months.
const workDays = 188

// workingDays lists so many days from Monday to Friday before now, oldest
// first, each at midnight of the shop's zone.
func workingDays(now time.Time, n int) []time.Time {
	days := make([]time.Time, n)
	day := on(now, 0, 0)
	for i := n - 1; i >= 0; {
		day = day.AddDate(0, 0, -1)
		if !dayOff(day) {
			days[i] = day
			i--
		}
	}
	return days
}

func dayOff(t time.Time) bool { return t.Weekday() == time.Saturday || t.Weekday() == time.Sunday }

// on is a time of a day, as the clock on the wall shows it.
func on(day time.Time, hour, minute int) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), hour, minute, 0, 0, day.Location())
}

// share is how far along the shop's history a moment lies, 0 to 1.
func (m *maker) share(t time.Time) float64 {
	first, last := m.days[0], m.days[len(m.days)-1]
	return min(1, max(0, t.Sub(first).Hours()/last.Sub(first).Hours()))
}

// moment is a time of a working day at which work is begun, 7:30 to 15:30.
func (m *maker) moment(day time.Time) time.Time {
	return on(day, 7, 30).Add(m.random.minutes(0, 8*60))
}

// atWork moves a moment after hours, or on a day off, to the next morning at
// work.
func (m *maker) atWork(t time.Time) time.Time {
	if t.Hour() < 17 && !dayOff(t) {
		return t
	}
	day := t.AddDate(0, 0, 1)
	for dayOff(day) {
		day = day.AddDate(0, 0, 1)
	}
	return on(day, 7, 35).Add(m.random.minutes(0, 50))
}

// daysOn is a moment at work so many days on.
func (m *maker) daysOn(days int) time.Time {
	return m.atWork(m.moment(m.clock.AddDate(0, 0, days)))
}

// event is something that happens at its time.
type event struct {
	at    time.Time
	order int // of being planned: decides between two at once
	do    func() error
}

// diary holds what is to happen, a heap by time.
type diary struct {
	events  []event
	planned int
}

func (d *diary) Len() int { return len(d.events) }
func (d *diary) Less(i, j int) bool {
	if c := d.events[i].at.Compare(d.events[j].at); c != 0 {
		return c < 0
	}
	return d.events[i].order < d.events[j].order
}
func (d *diary) Swap(i, j int) { d.events[i], d.events[j] = d.events[j], d.events[i] }
func (d *diary) Push(x any)    { d.events = append(d.events, x.(event)) }
func (d *diary) Pop() any {
	last := d.events[len(d.events)-1]
	d.events = d.events[:len(d.events)-1]
	return last
}

// plan notes what is to happen. What lies behind the end of the history does
// not happen: it is the work that is open today.
func (m *maker) plan(at time.Time, do func() error) {
	if at.After(m.end) {
		return
	}
	m.diary.planned++
	heap.Push(&m.diary, event{at, m.diary.planned, do})
}

// live lets everything planned happen, in the order of time; what happens may
// plan more.
func (m *maker) live() error {
	for m.diary.Len() > 0 {
		if err := m.ctx.Err(); err != nil {
			return err
		}
		e := heap.Pop(&m.diary).(event)
		m.clock = e.at
		if err := e.do(); err != nil {
			return err
		}
	}
	m.clock = m.end
	return nil
}

// planDays spreads the orders evenly over the working days.
func (m *maker) planDays() error {
	wheels, packs := 0, 0
	for i, day := range m.days {
		for ; wheels < m.options.Wheels*(i+1)/len(m.days); wheels++ {
			m.plan(m.moment(day), m.buildWheel)
		}
		for ; packs < m.options.Packs*(i+1)/len(m.days); packs++ {
			m.plan(m.moment(day), m.buildPack)
		}
	}
	m.plan(on(m.days[len(m.days)*2/3], 12, 0), m.reviseSpecification)
	return nil
}
