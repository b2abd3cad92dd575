package returns

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
)

// records is what an answer is made of.
type records struct {
	family      models.Family
	zone        *time.Location
	from, today string
	all         *group
	byLot       map[string]*group
	returned    []models.ReturnedItem
}

// read gathers a family's counts and returns up to a moment. Months are whole, the one
// of the moment with them.
func (s *Service) read(ctx context.Context, familyID string, months int, lots bool, at time.Time) (records, error) {
	r := records{zone: s.zone(ctx), all: newGroup(), byLot: map[string]*group{}}
	var err error
	if r.family, err = s.store.Family(ctx, familyID); err != nil {
		return r, fmt.Errorf("returns of family %.40q: %w", familyID, err)
	}
	at = at.In(r.zone)
	from := time.Date(at.Year(), at.Month()-time.Month(months-1), 1, 0, 0, 0, 0, r.zone)
	r.from, r.today = from.Format(time.DateOnly), at.Format(time.DateOnly)
	all, byLot, err := s.store.ShippedDays(ctx, familyID, r.from)
	if err != nil {
		return r, fmt.Errorf("what left of family %s: %w", r.family.Name, err)
	}
	for _, d := range all {
		if d.Day <= r.today {
			r.all.add(dayNumber(d.Day), d.Units)
		}
	}
	for _, d := range byLot {
		if d.Day <= r.today {
			r.lot(d.LotID).add(dayNumber(d.Day), d.Units)
		}
	}
	if r.all.count == 0 {
		return r, nil
	}
	returned, err := s.store.ReturnedItems(ctx, familyID, from, lots)
	if err != nil {
		return r, fmt.Errorf("what came back of family %s: %w", r.family.Name, err)
	}
	begins := dayNumber(r.from)
	for _, item := range returned {
		f := failureOf(item, r.zone)
		if f.left < begins || r.all.units[f.left] == 0 || f.back > dayNumber(r.today) {
			continue
		}
		r.returned = append(r.returned, item)
		r.all.back = append(r.all.back, f)
		for _, id := range item.LotIDs {
			if g := r.byLot[id]; g != nil {
				g.back = append(g.back, f)
			}
		}
	}
	return r, nil
}

func (r *records) lot(id string) *group {
	g := r.byLot[id]
	if g == nil {
		g = newGroup()
		r.byLot[id] = g
	}
	return g
}

// settled checks a query and fills in what it leaves open.
func settled(q Query) (Query, error) {
	invalid := &models.InvalidError{}
	if q.FamilyID == "" {
		invalid.Add("family", "missing")
	}
	if q.Months == 0 {
		q.Months = UsualMonths
	}
	if q.Months < 1 || q.Months > MostMonths {
		invalid.Add("months", "returns_months", "most", fmt.Sprint(MostMonths))
	}
	if q.LagDays < 0 || q.LagDays > MostLag {
		invalid.Add("lag", "returns_lag", "most", fmt.Sprint(MostLag))
	}
	return q, invalid.OrNil()
}

// Families gives every family of which something left, in short.
func (s *Service) Families(ctx context.Context, months int) ([]FamilyLine, error) {
	return s.families(ctx, months, s.now())
}

// families are those of which something had left at a moment.
func (s *Service) families(ctx context.Context, months int, at time.Time) ([]FamilyLine, error) {
	families, err := s.store.Families(ctx)
	if err != nil {
		return nil, fmt.Errorf("families: %w", err)
	}
	if err := s.store.CountShipped(ctx, s.zone(ctx), s.now()); err != nil {
		return nil, fmt.Errorf("count what left: %w", err)
	}
	if months <= 0 || months > MostMonths {
		months = UsualMonths
	}
	var lines []FamilyLine
	for _, f := range families {
		r, err := s.read(ctx, f.ID, months, false, at)
		if err != nil {
			return nil, err
		}
		if r.all.count == 0 {
			continue
		}
		share, err := shareOf(len(r.all.back), r.all.count)
		if err != nil {
			return nil, fmt.Errorf("share of family %s: %w", f.Name, err)
		}
		lines = append(lines, FamilyLine{Family: f, Share: share})
	}
	return lines, nil
}

// View answers what came back of a family, or of those of it with a lot, and what
// will. Bad or missing parts of the query are [models.InvalidError]; an unknown family
// is [models.ErrNotFound].
func (s *Service) View(ctx context.Context, q Query) (View, error) { return s.view(ctx, q, s.now()) }

// view answers as of a moment: what left and what came back after it is not counted.
func (s *Service) view(ctx context.Context, q Query, at time.Time) (View, error) {
	q, err := settled(q)
	if err != nil {
		return View{}, err
	}
	if err := s.store.CountShipped(ctx, s.zone(ctx), s.now()); err != nil {
		return View{}, fmt.Errorf("count what left: %w", err)
	}
	r, err := s.read(ctx, q.FamilyID, q.Months, true, at)
	if err != nil {
		return View{}, err
	}
	v := View{Query: q, Family: r.family, From: r.from, Today: r.today, Lag: q.LagDays, Clock: clock(q.LagDays)}
	if n := r.all.early(q.LagDays); n > 0 {
		v.Lag, v.Clock = 0, models.NewRemark("returns_lag_early", "count", fmt.Sprint(n), "days", fmt.Sprint(q.LagDays))
	}
	about, returned := r.all, r.returned
	if q.Lot != "" {
		lots, err := s.store.LotsByCode(ctx, []string{q.Lot})
		if err != nil {
			return View{}, fmt.Errorf("lot %.40q: %w", q.Lot, err)
		}
		if len(lots) == 0 {
			return View{}, models.Invalid("lot", "unknown_lot", "lot", models.Shortened(q.Lot))
		}
		v.Lot = &lots[0]
		about = r.lot(lots[0].ID)
		returned = slices.DeleteFunc(slices.Clone(returned), func(i models.ReturnedItem) bool { return !slices.Contains(i.LotIDs, lots[0].ID) })
	}
	v.Claims = slices.Clone(returned)
	slices.Reverse(v.Claims)
	if v.Share, err = shareOf(len(about.back), about.count); err != nil || about.count == 0 {
		return v, err
	}
	today := dayNumber(r.today)
	whole, err := curveOf(r.all.lives(today, v.Lag), FewAtRisk)
	if err != nil {
		return v, fmt.Errorf("curve of family %s: %w", r.family.Name, err)
	}
	if err := v.curves(about, r.all, whole, today); err != nil {
		return v, fmt.Errorf("curve of family %s: %w", r.family.Name, err)
	}
	if err := v.triangle(about, r.today); err != nil {
		return v, fmt.Errorf("triangle of family %s: %w", r.family.Name, err)
	}
	if v.MonthsCompared, err = v.months(about, today, func(m *Month, e Excess) { m.Excess = e }); err != nil {
		return v, fmt.Errorf("months of family %s: %w", r.family.Name, err)
	}
	v.Waiting = about.count - about.inService(today, v.Lag)
	lives := about.lives(today, v.Lag)
	if v.Law, err = lawOf(lives); err != nil {
		return v, fmt.Errorf("law of family %s: %w", r.family.Name, err)
	}
	if v.Ahead, err = aheadOf(v.Law, lives, about.waiting(today, v.Lag), returned); err != nil {
		return v, fmt.Errorf("forecast of family %s: %w", r.family.Name, err)
	}
	var rest *group
	if v.Lots, rest, v.LotsCompared, err = s.lots(ctx, r, whole, today, v.Lag); err != nil || v.Lot != nil || rest == r.all || rest.count == 0 {
		return v, err
	}
	var found []string
	for _, l := range v.Lots {
		if l.More {
			found = append(found, l.Lot.Code)
		}
	}
	_, err = v.months(rest, today, func(m *Month, e Excess) {
		if m.More && !e.More {
			m.More, m.Because = false, found
		}
	})
	return v, err
}

// clock says from when service is counted: no day of sale is kept, so that it is
// shipment, and what the shop states to lie between.
func clock(lag int) models.Remark {
	if lag == 0 {
		return models.NewRemark("returns_from_shipment")
	}
	return models.NewRemark("returns_from_lag", "days", fmt.Sprint(lag))
}

func (v *View) curves(about, all *group, whole life.Curve, today int) error {
	lives := about.lives(today, v.Lag)
	v.Until = until(lives, FewAtRisk)
	v.Curve = &whole
	if v.Lot == nil {
		return nil
	}
	own, err := curveOf(lives, FewAtRisk)
	if err != nil {
		return err
	}
	v.Curve = &own
	if rest := all.without(about); rest.inService(today, v.Lag) >= FewUnits {
		curve, err := curveOf(rest.lives(today, v.Lag), FewAtRisk)
		if err != nil {
			return err
		}
		v.Rest = &curve
	}
	return nil
}

// triangle counts by calendar months, complete ones only.
func (v *View) triangle(about *group, today string) error {
	units, back := map[string]int{}, map[string]map[int]int{}
	for day, n := range about.units {
		if n > 0 {
			units[monthOf(day)] += n
		}
	}
	thisMonth := monthNumber(today[:7])
	asOf := thisMonth - 1
	for _, f := range about.back {
		month := monthOf(f.left)
		if back[month] == nil {
			back[month] = map[int]int{}
		}
		back[month][monthNumber(monthOf(f.back))-monthNumber(month)]++
	}
	var shipped []life.Shipped
	for _, month := range slices.Sorted(maps.Keys(units)) {
		v.Months = append(v.Months, Month{Month: month, Returns: back[month]})
		at := monthNumber(month)
		if at > asOf {
			continue
		}
		complete := map[int]int{}
		for age, n := range back[month] {
			if at+age <= asOf {
				complete[age] = n
			}
		}
		shipped = append(shipped, life.Shipped{Month: at, Units: units[month], Returns: complete})
	}
	v.AsOf = time.Date(asOf/12, time.Month(asOf%12+1), 1, 0, 0, 0, 0, time.UTC).Format("2006-01")
	if len(shipped) == 0 {
		return nil
	}
	var err error
	v.Ages, err = life.Triangle(shipped, asOf, confidence)
	return err
}

// months holds each month of shipment against what the others did at its age, and says
// how many have enough units to.
func (v *View) months(about *group, today int, into func(*Month, Excess)) (compared int, err error) {
	groups := map[string]*group{}
	of := func(day int) *group {
		month := monthOf(day)
		if groups[month] == nil {
			groups[month] = newGroup()
		}
		return groups[month]
	}
	for day, n := range about.units {
		if n > 0 {
			of(day).add(day, n)
		}
	}
	for _, f := range about.back {
		g := of(f.left)
		g.back = append(g.back, f)
	}
	for _, g := range groups {
		if comparable(g, about, today, v.Lag) {
			compared++
		}
	}
	curve, err := curveOf(about.lives(today, v.Lag), 0)
	if err != nil {
		return 0, err
	}
	for i := range v.Months {
		m := &v.Months[i]
		g := groups[m.Month]
		if g == nil {
			g = newGroup() // Every wheel of the month was taken out.
		}
		e, err := excess(g, about, curve, compared, today, v.Lag)
		if err != nil {
			return 0, fmt.Errorf("month %s: %w", m.Month, err)
		}
		into(m, e)
	}
	return compared, nil
}
