package shelf

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// Look gives everything that stands on the shelf: packs that have a place, and
// blocks that are in no pack, in groups by what is to be done.
func (s *Service) Look(ctx context.Context) (Look, error) {
	rows, look, err := s.rows(ctx)
	if err != nil {
		return Look{}, fmt.Errorf("shelf: %w", err)
	}
	soon := look.Day.AddDate(0, 0, SoonDays)
	for _, r := range rows {
		if r.Item.Kind == models.KindPack {
			look.Packs++
		} else {
			look.Blocks++
		}
		switch {
		case r.State == Discharged:
			look.Today = append(look.Today, r)
		case r.State != Standing:
			look.Waiting = append(look.Waiting, r)
		case !r.Due.After(look.Day):
			look.Today = append(look.Today, r)
		case !r.Due.After(soon):
			look.Soon = append(look.Soon, r)
		default:
			look.Later = append(look.Later, r)
		}
	}
	return look, nil
}

// On gives the row of one item, or models.ErrNotFound when it does not stand on
// the shelf.
func (s *Service) On(ctx context.Context, itemID string) (Row, error) {
	rows, _, err := s.rows(ctx)
	if err != nil {
		return Row{}, fmt.Errorf("shelf: %w", err)
	}
	for _, r := range rows {
		if r.Item.ID == itemID {
			return *r, nil
		}
	}
	return Row{}, fmt.Errorf("item %s on the shelf: %w", itemID, models.ErrNotFound)
}

// ReadyUntil says until when an item is ready to ship by its charge: a zero time
// where it does not stand on the shelf or nothing is known.
func (s *Service) ReadyUntil(ctx context.Context, itemID string) (time.Time, error) {
	row, err := s.On(ctx, itemID)
	if errors.Is(err, models.ErrNotFound) {
		return time.Time{}, nil
	}
	return row.ReadyUntil, err
}

// rows computes every row, by due date and then by order out.
func (s *Service) rows(ctx context.Context) ([]*Row, Look, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	known, err := s.upToDate(ctx)
	if err != nil {
		return nil, Look{}, err
	}
	onHold, err := s.store.ItemsHeld(ctx)
	if err != nil {
		return nil, Look{}, err
	}
	held := make(map[string]bool, len(onHold))
	for _, id := range onHold {
		held[id] = true
	}
	products, err := s.catalogue(ctx)
	if err != nil {
		return nil, Look{}, err
	}
	orders, err := s.waiting(ctx, products)
	if err != nil {
		return nil, Look{}, err
	}
	now, zone := s.now(), s.zone(ctx)
	at := moment{now: now, zone: zone, day: day(now, zone)}
	look := Look{Day: at.day, Warmest: known.warmest, Assumed: known.warmest == ""}
	all, out := make([]Row, len(known.order)), 0
	rows := make([]*Row, 0, len(all))
	for i, f := range known.order {
		r := &all[i]
		on, err := known.row(r, f, products.kinds, at)
		if err != nil {
			return nil, Look{}, fmt.Errorf("%s: %w", f.Item.Name(), err)
		}
		if !on {
			continue
		}
		rows = append(rows, r)
		if r.Stop = stopped(r, held[r.Item.ID]); r.Item.Kind == models.KindPack && r.Stop == "" {
			if out++; out == 1 {
				look.Next = r
			}
			r.Out = out
			orders.serve(r, pointed(r.Item.ProductID))
		}
		r.due(at)
	}
	slices.SortStableFunc(rows, func(a, b *Row) int { return a.Due.Compare(b.Due) })
	return rows, look, nil
}

// stopped says what keeps a pack from going out, however old it is.
func stopped(r *Row, held bool) string {
	switch {
	case held || r.Item.State == models.StateHeld:
		return Held
	case r.Item.State == models.StateShipped || r.Item.State == models.StateRecalled:
		return CameBack
	case r.Item.Kind == models.KindPack && r.Item.State == models.StateInProcess && (r.State == Standing || r.State == Dead):
		return NotPassed
	}
	return ""
}

type moment struct {
	now  time.Time
	zone *time.Location
	day  time.Time
}

// day is the day of a moment in a zone, as midnight UTC.
func day(t time.Time, zone *time.Location) time.Time {
	y, m, d := t.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// row computes one; on is false for what does not stand on the shelf.
func (k *known) row(r *Row, f *models.ShelfFact, products map[string]*kind, at moment) (on bool, err error) {
	if n := len(f.Places); n > 0 {
		r.Place = f.Places[n-1].Place
	}
	switch f.Item.Kind {
	case models.KindPack: // One that was shipped, until it is put on a shelf again.
		on = r.Place != "" && f.Places[len(f.Places)-1].Since.After(f.Left)
	case models.KindBlock:
		on = !f.Fitted && f.Reading != nil && (r.Place != "" || len(f.Places) == 0)
	}
	of := products[pointed(f.Item.ProductID)]
	if !on || of == nil {
		return false, nil
	}
	r.Item, r.Product, r.Form, r.Made, r.Wanted = f.Item, of.name, of.pack, f.Item.CreatedAt, f.Wanted
	r.SoCMin, r.Charge, r.Reading, r.Rest, r.AirMaxPct = of.socMin, f.Charge, f.Reading, of.restHours, of.airMax
	climate, own, err := k.climate(r.Place, of.age)
	if err != nil {
		return false, err
	}
	r.TempC, r.TempKnown = climate.TempC(at.now), own
	if r.State = state(r, at.now); models.Emptied(f.Discharge, f.Recharged) {
		r.State, r.Discharge, r.Opens = Discharged, f.Discharge, time.Time{}
	}
	if r.State == Standing && r.Reading.OCV25 < of.dead {
		r.State = Dead
	}
	if r.State != Standing {
		return true, nil
	}
	stays, err := k.stays(f, of.age)
	if err != nil {
		return false, err
	}
	return true, r.outlook(of, stays, at)
}

// state says how far a pack is between charger and reading. A discharge that a
// charge followed is past with it: only what was read after that charge counts.
func state(r *Row, now time.Time) State {
	if c := r.Charge; c != nil && (r.Reading == nil || r.Reading.MeasuredAt.Before(c.StartedAt)) {
		if c.End == nil {
			return Charging
		}
		r.Opens = c.End.EndedAt.Add(time.Duration(r.Rest * float64(time.Hour)))
		if now.Before(r.Opens) {
			return Resting
		}
		return ToRead
	}
	if r.Reading == nil {
		return NeverRead
	}
	return Standing
}

// stays are the climates that a pack stood in since it was read.
func (k *known) stays(f *models.ShelfFact, age pack.AgeRule) (pack.Stays, error) {
	places := f.Places
	for len(places) > 1 && !places[1].Since.After(f.Reading.MeasuredAt) {
		places = places[1:]
	}
	if len(places) == 0 {
		places = []models.ShelfPlace{{}}
	}
	stays := make(pack.Stays, len(places))
	for i, p := range places {
		climate, _, err := k.climate(p.Place, age)
		if err != nil {
			return nil, err
		}
		stays[i] = pack.Stay{Climate: climate, From: p.Since}
	}
	return stays, nil
}

// outlook fills in the estimate and both dates.
func (r *Row) outlook(of *kind, stays pack.Stays, at moment) error {
	standing := pack.Standing{Measured: r.Reading.MeasuredAt, SoC0Pct: math.NaN(), SoCMinPct: of.socMin, S25: of.s25, MarginPct: math.NaN(), Stays: stays}
	switch pct, why := kinds.BlockCharge(of.block, r.Reading.OCV25); {
	case len(of.block.VoltageTable) > 0 && why == "":
		standing.SoC0Pct = pct // By the model's own table, which may have come since.
	case r.Reading.SoCPct != nil && why != kinds.ChargeOnPlateau:
		standing.SoC0Pct = *r.Reading.SoCPct
	default:
		r.SoCUnknown = why
	}
	r.Limit = of.lowest
	if judged, err := strconv.ParseFloat(r.Reading.Lowest, 64); err == nil {
		r.Limit = judged
	}
	if r.TooLow = r.Reading.OCV25 < r.Limit; r.Limit > 0 && !r.TooLow {
		if margin, known := kinds.ShipMargin(of.block, r.Reading.OCV25, r.Limit); known {
			standing.MarginPct = margin
		}
	}
	o, err := standing.Outlook(at.now)
	if err != nil {
		return err
	}
	measured := day(r.Reading.MeasuredAt, at.zone)
	if !math.IsNaN(o.SoCPct) {
		r.SoCPct = &o.SoCPct
	}
	r.IntervalDays, r.GovernedBy = o.Days(), o.GovernedBy
	r.ChargeBy = measured.AddDate(0, 0, o.Days())
	if o.DaysReady >= 0 {
		r.ReadyUntil = measured.AddDate(0, 0, o.DaysReady)
	}
	return nil
}

// due says by when a row is charged: for its health, and where it is wanted or an
// order waits for it before it may not be shipped any more. What does not stand
// read at rest is seen to today.
func (r *Row) due(at moment) {
	if r.State != Standing {
		r.Due = at.day
		return
	}
	r.Due, r.DueBy = r.ChargeBy, r.GovernedBy
	switch {
	case r.Wanted == "" && r.Order == "":
	case r.TooLow:
		r.Due, r.DueBy = day(r.Reading.MeasuredAt, at.zone), ByReady
	case !r.ReadyUntil.IsZero() && r.ReadyUntil.Before(r.ChargeBy):
		r.Due, r.DueBy = r.ReadyUntil, ByReady
	}
	r.DaysLeft = int(r.Due.Sub(at.day).Hours() / 24)
}

func pointed(p *string) string {
	if p == nil {
		return ""
	}
	return *p
}
