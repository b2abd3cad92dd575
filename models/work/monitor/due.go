package monitor

import (
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// due lists the instruments in use whose due day lies before day, or at most
// [DueSoonDays] after it, in the order of their due days.
func due(instruments []models.Instrument, day string) []DueInstrument {
	today, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return nil
	}
	var list []DueInstrument
	for _, i := range instruments {
		if i.State != models.InstrumentInUse || i.DueOn == "" {
			continue
		}
		on, err := time.Parse(time.DateOnly, i.DueOn)
		if err != nil {
			continue // Dates are checked when an instrument is entered.
		}
		days := int(on.Sub(today).Hours() / 24) // Both are midnights in UTC: whole days.
		if days <= DueSoonDays {
			list = append(list, DueInstrument{Instrument: i, Overdue: i.OverdueOn(day), Days: days})
		}
	}
	slices.SortStableFunc(list, func(a, b DueInstrument) int {
		return strings.Compare(a.Instrument.DueOn, b.Instrument.DueOn)
	})
	return list
}
