package finder

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/trade/kinds"
)

// gathered is all that is searched.
type gathered struct {
	series   []*series
	thin     []*series         // too few values to be asked for themselves
	pooled   []*series         // one result of several families
	products map[string]string // names
	people   map[string]string
}

// gather reads every family and makes its series.
func (s *Service) gather(ctx context.Context, from, now time.Time) (gathered, error) {
	all := gathered{products: map[string]string{}, people: map[string]string{}}
	people, err := s.store.People(ctx)
	if err != nil {
		return all, err
	}
	for _, p := range people {
		all.people[p.ID] = p.Name
	}
	families, err := s.store.Families(ctx)
	if err != nil {
		return all, err
	}
	zone := s.zone(ctx)
	for _, f := range families {
		products, err := s.store.Products(ctx, f.ID)
		if err != nil {
			return all, err
		}
		for _, p := range products {
			all.products[p.ID] = p.Name
		}
		limits, err := s.limits(ctx, f, products)
		if err != nil {
			return all, err
		}
		list, err := s.readings(ctx, f, limits, from, zone)
		if err != nil {
			return all, err
		}
		back, err := s.returns(ctx, f, from, now, zone)
		if err != nil {
			return all, err
		}
		for _, one := range append(list, back) {
			switch {
			case one == nil || len(one.rows) == 0:
			case len(one.rows) >= one.fewest():
				one.prepare()
				all.series = append(all.series, one)
			default:
				one.prepare()
				all.thin = append(all.thin, one)
			}
		}
	}
	all.pool()
	return all, nil
}

// limited is a result with a limit, and the characteristic it comes from.
type limited struct {
	models.Limit
	characteristic string
	printed        int // decimals
}

// limits are the results of a family that are judged, by its own specification or
// by that of a product, in the order of their codes.
func (s *Service) limits(ctx context.Context, f models.Family, products []models.Product) ([]limited, error) {
	found := map[string]limited{}
	add := func(product *string) error {
		spec, err := s.store.SpecificationInForce(ctx, f.ID, product)
		if err != nil {
			return fmt.Errorf("specification of family %s: %w", f.Name, err)
		}
		for _, c := range spec.Characteristics {
			if c.Form != models.Measured && c.Form != models.Counted {
				continue
			}
			for _, l := range c.Results {
				if l.HasLimit() {
					found[l.Result] = limited{l, c.Code, c.Printed(l)}
				}
			}
		}
		return nil
	}
	if err := add(nil); err != nil {
		return nil, err
	}
	for _, p := range products {
		if err := add(&p.ID); err != nil {
			return nil, err
		}
	}
	var out []limited
	for _, code := range slices.Sorted(maps.Keys(found)) {
		out = append(out, found[code])
	}
	return out, nil
}

// Codes that losses and falls are found from.
const (
	tensionMean  = "tension_mean_tight"
	blockVoltage = "block_ocv25"
)

// readings are the series of a family's first readings, and of what was lost
// between its readings.
func (s *Service) readings(ctx context.Context, f models.Family, limits []limited, from time.Time, zone *time.Location) ([]*series, error) {
	codes := []string{tensionMean, blockVoltage}
	for _, l := range limits {
		codes = append(codes, l.Result)
	}
	all, err := s.store.Searched(ctx, models.SearchQuery{FamilyID: f.ID, From: from, Results: codes, Limit: mostInspections})
	if err != nil {
		return nil, err
	}
	first, later := firsts(all.Inspections)
	var out []*series
	for _, l := range limits {
		one := &series{family: f, measure: l.Result, unit: l.Unit, decimals: l.printed, kind: reading, log: kinds.Skewed(l.Result)}
		for _, i := range first {
			if v, ok := whole(all.Values[i.ID], l.Result); ok {
				r := rowOf(all, i, v, zone)
				for _, g := range all.Gauges[i.ID] {
					if g.Characteristic == l.characteristic {
						r.gauge = g.Instrument
					}
				}
				one.rows = append(one.rows, r)
			}
		}
		out = append(out, one)
	}
	loss := &series{family: f, measure: TensionLoss, unit: "%", decimals: 1, kind: change}
	fall := &series{family: f, measure: VoltageFall, unit: "mV", decimals: 2, kind: change}
	for _, pair := range later {
		before, after := pair[0], pair[1]
		x, ok := whole(all.Values[before.ID], tensionMean)
		if y, too := whole(all.Values[after.ID], tensionMean); ok && too && x > 0 {
			loss.rows = append(loss.rows, rowOf(all, after, 100*(1-y/x), zone))
		}
		days := after.MeasuredAt.Sub(before.MeasuredAt).Hours() / 24
		if mean, ok := meanFall(all.Values[before.ID], all.Values[after.ID]); ok && days >= 1 {
			fall.rows = append(fall.rows, rowOf(all, after, 1000*mean/days, zone))
		}
	}
	return append(out, loss, fall), nil
}

// firsts are the first readings of each item that speak for the process, and of
// each that was read again later the last reading before and that one. Wheels have
// their first set after relief; packs and blocks their first reading.
func firsts(list []models.SearchedInspection) (first []models.SearchedInspection, later [][2]models.SearchedInspection) {
	last, seen := map[string]models.SearchedInspection{}, map[string]bool{}
	for _, i := range list {
		switch i.Stage {
		case models.AfterRelief, models.Final, models.Incoming:
			if i.FirstSet || i.Stage != models.AfterRelief && i.Round == 1 {
				first = append(first, i)
			}
			last[i.ItemID] = i
		case models.Recheck, models.SecondReading:
			if before, ok := last[i.ItemID]; ok && !seen[i.ItemID] {
				later = append(later, [2]models.SearchedInspection{before, i})
			}
			seen[i.ItemID] = true // What is measured after a recheck was worked on.
		}
	}
	return first, later
}

func whole(values []models.SearchedValue, code string) (float64, bool) {
	for _, v := range values {
		if v.Code == code && v.Position == "" {
			return v.Value, true
		}
	}
	return 0, false
}

// meanFall is how far the voltages of the same places fell, on average.
func meanFall(before, after []models.SearchedValue) (float64, bool) {
	was, sum, n := map[string]float64{}, 0., 0.
	for _, v := range before {
		if v.Code == blockVoltage {
			was[v.Position] = v.Value
		}
	}
	for _, v := range after {
		if x, ok := was[v.Position]; ok && v.Code == blockVoltage {
			sum += x - v.Value
			n++
		}
	}
	if n == 0 {
		return 0, false
	}
	return sum / n, true
}

func rowOf(all models.Searched, i models.SearchedInspection, value float64, zone *time.Location) row {
	r := row{point: point{inspection: i.ID, item: i.ItemID, serial: i.Serial, at: i.MeasuredAt, value: value}, product: i.ProductID, place: i.Place, person: i.PersonID, lots: joined(all.Lots[i.ItemID])}
	r.on(zone)
	return r
}

// joined gives an item's lots by material; lots of one material that are mixed in
// an item are a lot of their own.
func joined(lots []models.SearchedLot) map[string]string {
	out := map[string]string{}
	for _, l := range lots {
		if out[l.Material] != "" {
			out[l.Material] += " + "
		}
		out[l.Material] += l.Code
	}
	return out
}

// returns is what came back of what a family shipped, with what is to be expected
// at each item's age: the cumulative hazard of all of the family by then, from the
// curve of Kaplan and Meier. Came back less expected is a martingale residual
// (Therneau, Grambsch and Fleming, Biometrika 77, 1990), of mean 0 at any age, so that
// a lot is not held to be good because it is young.
func (s *Service) returns(ctx context.Context, f models.Family, from, now time.Time, zone *time.Location) (*series, error) {
	lives, err := s.store.ServiceLives(ctx, f.ID)
	if err != nil {
		return nil, err
	}
	lives = slices.DeleteFunc(lives, func(l models.ServiceLife) bool { return l.ShippedAt.Before(from) || l.ShippedAt.After(now) })
	slices.SortStableFunc(lives, func(a, b models.ServiceLife) int { return a.ShippedAt.Compare(b.ShippedAt) })
	one := &series{family: f, measure: Returns, unit: "%", decimals: 1, kind: share}
	var ids []string
	ages := make([]life.Observation, len(lives))
	for i, l := range lives {
		ids = append(ids, l.ItemID)
		ages[i] = life.Observation{Time: now.Sub(l.ShippedAt).Hours() / 24, Count: 1}
		if l.ClaimedAt != nil {
			ages[i] = life.Observation{Time: max(0, l.ClaimedAt.Sub(l.ShippedAt).Hours()/24), Failed: true, Count: 1}
		}
	}
	if len(lives) < one.fewest() || !slices.ContainsFunc(ages, func(o life.Observation) bool { return o.Failed }) {
		return nil, nil
	}
	curve, err := life.KaplanMeier(ages, life.CurveOptions{Confidence: 0.95})
	if err != nil {
		return nil, fmt.Errorf("returns of family %s: %w", f.Name, err)
	}
	lots, err := s.store.LotsInto(ctx, ids)
	if err != nil {
		return nil, err
	}
	for i, l := range lives {
		r := row{point: point{item: l.ItemID, serial: l.Serial, at: l.ShippedAt}, product: l.ProductID, place: l.Place, lots: joined(lots[l.ItemID]), life: ages[i], expected: curve.HazardAt(ages[i].Time)}
		if ages[i].Failed {
			r.value = 1
		}
		r.on(zone)
		one.rows = append(one.rows, r)
	}
	return one, nil
}

// expectedOf is how many of some would have come back by now if they did at each age as
// the others do: by a curve that has them not in it, for what stands out would be told
// beside a part of itself.
func expectedOf(some, others []life.Observation) (float64, error) {
	if !slices.ContainsFunc(others, func(o life.Observation) bool { return o.Failed }) {
		return 0, nil
	}
	curve, err := life.KaplanMeier(others, life.CurveOptions{Confidence: 0.95})
	if err != nil {
		return 0, err
	}
	e, err := curve.Expected(some)
	return e.Failures, err
}

// lotMaterials lists the materials of which a series has lots.
func (s *series) lotMaterials() []string {
	found := map[string]bool{}
	for _, r := range s.rows {
		for material := range r.lots {
			found[material] = true
		}
	}
	return slices.SortedFunc(maps.Keys(found), strings.Compare)
}
