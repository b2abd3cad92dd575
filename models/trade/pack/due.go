package pack

import (
	"fmt"
	"math"
	"time"
)

// Slope gives the change of the rest voltage, V of a block for one per cent of
// charge, at a voltage: the slope of the chemistry's table there, the top
// segment extended above 100 % and the lowest below 0. A chemistry without a
// table is ErrNoTable.
func Slope(chemistry Chemistry, ocv25 float64, cells int) (float64, error) {
	if err := first(chemistry.check(), positive("ocv25_V", ocv25), checkCells("cells", cells)); err != nil {
		return 0, err
	}
	table, ok := chargeTables[chemistry]
	if !ok {
		return 0, fmt.Errorf("%w: %s has no table of charge", ErrNoTable, chemistry)
	}
	return slopeAt(table, ocv25*CellsPer12V/float64(cells)) * float64(cells) / CellsPer12V, nil
}

// Standing is a pack on the shelf: when and how it was read at rest, and where
// it stood since.
type Standing struct {
	Measured  time.Time
	SoC0Pct   float64 // charge when measured; NaN where it is not known
	SoCMinPct float64 // charge at which it must be refreshed
	S25       float64 // loss, % of capacity per month at 25 degrees
	// MarginPct is the charge that may be lost before the voltage falls below
	// the shipping limit: see ShipMargin. NaN where it is not known.
	MarginPct float64
	Stays     Stays
}

// Outlook is what stands on the shelf today and until when.
type Outlook struct {
	SoCPct         float64 // estimate of now; NaN where it is not known
	DaysBySoC      int     // from the reading until the charge has fallen to the least
	DaysByCalendar int     // until the interval by the calendar is over
	GovernedBy     string  // GovernedBySoC or GovernedByCalendar
	DaysReady      int     // until it falls below the shipping limit; -1 where it is not known
}

// Days is the smaller of both.
func (o Outlook) Days() int { return min(o.DaysBySoC, o.DaysByCalendar) }

// ShipMargin gives the charge, %, that a block may lose until its rest voltage
// falls below the shipping limit: (OCV25 - limit) / m, with m the slope of the
// table at the limit. It is 0 for a block that is below already. Common
// practice, no source.
func ShipMargin(chemistry Chemistry, ocv25, limit float64, cells int) (float64, error) {
	slope, err := Slope(chemistry, limit, cells)
	if err != nil {
		return 0, err
	}
	return math.Max(0, (ocv25-limit)/slope), nil
}

// ShipMarginFrom is ShipMargin by a table of the block's own.
func ShipMarginFrom(table []ChargeRow, ocv25, limit float64) (float64, error) {
	if err := first(CheckChargeTable(table), finite("ocv25_V", ocv25), positive("limit_V", limit)); err != nil {
		return 0, err
	}
	return math.Max(0, (ocv25-limit)/slopeAt(table, limit)), nil
}

// Outlook estimates the charge at now and both dates, as Stored and RefreshDue
// do, over the history of temperature: the charge left is SoC0 - s25 M, with M
// the months at 25 degrees that the stays amount to; days run until that has
// fallen to the least, or until the shares of the interval by the calendar add
// up to one. When both are equal the charge governs.
func (s Standing) Outlook(now time.Time) (Outlook, error) {
	if err := first(rate("s25_pct_month", s.S25), percent("soc_min_pct", s.SoCMinPct)); err != nil {
		return Outlook{}, err
	}
	if len(s.Stays) == 0 {
		return Outlook{}, fieldf("stays", "no climate")
	}
	lost := func(c *Climate) running { return c.lost }
	out := Outlook{SoCPct: math.NaN(), DaysBySoC: longestDays, GovernedBy: GovernedBySoC, DaysReady: -1}
	if !math.IsNaN(s.SoC0Pct) {
		if err := percent("soc0_pct", s.SoC0Pct); err != nil {
			return Outlook{}, err
		}
		out.SoCPct = math.Max(0, s.SoC0Pct-s.S25*s.Stays.MonthsAt25(s.Measured, now))
		switch {
		case s.SoC0Pct <= s.SoCMinPct:
			out.DaysBySoC = 0
		case s.S25 > 0:
			out.DaysBySoC = s.Stays.reached(s.Measured, (s.SoC0Pct-s.SoCMinPct)/s.S25, lost)
		}
	}
	out.DaysByCalendar = s.Stays.reached(s.Measured, 1, func(c *Climate) running { return c.aged })
	if out.DaysByCalendar < out.DaysBySoC {
		out.GovernedBy = GovernedByCalendar
	}
	switch {
	case math.IsNaN(s.MarginPct):
	case s.S25 > 0:
		out.DaysReady = s.Stays.reached(s.Measured, s.MarginPct/s.S25, lost)
	default:
		out.DaysReady = longestDays
	}
	return out, nil
}
