package demo

import "time"

// workDays is how many working days the shop has behind it: about nine months.
const workDays = 188

// workingDays lists so many days from Monday to Friday before now, oldest
// first, each at midnight of the shop's zone.
func workingDays(now time.Time, n int) []time.Time {
	days := make([]time.Time, n)
	day := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	for i := n - 1; i >= 0; {
		day = day.AddDate(0, 0, -1)
		if w := day.Weekday(); w != time.Saturday && w != time.Sunday {
			days[i] = day
			i--
		}
	}
	return days
}

// share is how far along the shop's history a moment lies, 0 to 1.
func (m *maker) share(t time.Time) float64 {
	first, last := m.days[0], m.days[len(m.days)-1]
	return min(1, max(0, t.Sub(first).Hours()/last.Sub(first).Hours()))
}
