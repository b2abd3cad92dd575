package failures

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/stats"
	"tracewright/models/trade/kinds"
)

// Ask says what fails, for whoever asks. Errors: models.InvalidError with what is
// wrong with the query, models.ErrNotFound for a family that there is not.
func (s *Service) Ask(ctx context.Context, actor models.Actor, q Query) (View, error) {
	a, err := s.settle(ctx, q)
	if err != nil {
		return View{}, err
	}
	// Where nothing can be written, what is summed up already is told, and how much is not.
	if _, err := s.store.FoldTallies(ctx, s.zone(ctx), atOnce); err != nil && !models.OnlyReadable(err) {
		return View{}, fmt.Errorf("sum up: %w", err)
	}
	tallied := models.Tallied{}
	if len(a.ids) > 0 {
		tallied, err = s.store.Tallies(ctx, models.TallyQuery{Families: a.ids, Unknown: q.What == "" || q.What == a.kind, From: a.From, To: a.To, ProductID: a.ProductID, Place: a.Place})
		if err != nil {
			return View{}, fmt.Errorf("tallies: %w", err)
		}
	}
	book, err := s.store.Defects(ctx)
	if err != nil {
		return View{}, fmt.Errorf("codes of defects: %w", err)
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return View{}, fmt.Errorf("hourly rate: %w", err)
	}
	v := View{Query: a.Query, Kind: a.kind, Families: a.families, Products: a.products, Waiting: tallied.Waiting, Rate: rateOf(settings), own: map[string]string{}, until: s.now().In(s.zone(ctx)).Format(time.DateOnly)}
	if err := v.count(tallied, book); err != nil {
		return View{}, err
	}
	for _, d := range tallied.Defects {
		v.own[d.Code] = book.Now(d.Code).Name
	}
	v.weeks(tallied.Sets)
	v.months(tallied.Sets)
	names, err := s.names(ctx, a, tallied)
	if err != nil {
		return View{}, err
	}
	if v.asksForNone() { // Groups of nothing differ in nothing.
		v.Cuts, v.Compared = nil, 0
	} else if err := v.cuts(tallied, names); err != nil {
		return View{}, err
	}
	v.keepPrivate(actor)
	v.costs(tallied.Defects, book, a.kind)
	v.later(tallied.Defects, book, a.kind)
	v.say(names)
	return v, nil
}

// knownCode says whether groups can be asked by a cause: a defect of the shop, or a
// result, of which some show no defect.
func knownCode(book models.Defects, code string) bool {
	if code == "" || book.Known(code) {
		return true
	}
	for _, kind := range kinds.Catalogue() {
		all, err := kind.Example()
		if err != nil {
			continue // A kind of which nothing is measured.
		}
		for _, c := range all {
			if slices.ContainsFunc(c.Results, func(l models.Limit) bool { return l.Result == code }) {
				return true
			}
		}
	}
	return false
}

// count adds up what was inspected and what failed.
func (v *View) count(t models.Tallied, book models.Defects) error {
	passed := 0
	places := map[string]bool{}
	for _, s := range t.Sets {
		v.Inspected += s.Inspected
		v.Failed += s.Failed
		passed += s.Passed
		if s.Place != "" {
			places[s.Place] = true
		}
	}
	v.Places = slices.Sorted(maps.Keys(places))
	judged := passed + v.Failed
	v.Undecided = v.Inspected - judged
	v.Yield = share(passed, judged)
	if judged == 0 {
		return nil
	}
	causes := map[string]*Cause{}
	for _, d := range t.Defects {
		if d.Source != models.FromFirstSet {
			continue
		}
		c := causes[d.Code]
		if c == nil {
			c = &Cause{Code: d.Code, Severity: book.Now(d.Code).Severity}
			causes[d.Code] = c
		}
		c.Share.K += d.Items
		c.Rework += d.Rework
	}
	var tallies []stats.Tally
	var failed []int
	for _, code := range slices.Sorted(maps.Keys(causes)) {
		tallies = append(tallies, stats.Tally{Code: code, Count: causes[code].Share.K})
		failed = append(failed, causes[code].Share.K)
	}
	rolled, err := stats.RolledYield(failed, judged)
	if err != nil {
		return fmt.Errorf("rolled yield: %w", err)
	}
	v.Rolled = &Rolled{rolled.Estimate, rolled.Low, rolled.High}
	if len(tallies) == 0 {
		return nil
	}
	rows, err := stats.Pareto(tallies)
	if err != nil {
		return fmt.Errorf("what fails most: %w", err)
	}
	for _, r := range rows {
		c := causes[r.Code]
		c.Share = share(r.Count, judged)
		v.Causes = append(v.Causes, *c)
	}
	v.Joined = joined(len(rows), func(i, j int) bool { return rows[i].Interval.Low <= rows[j].Interval.High })
	return nil
}

// joined are the longest runs of bars whose first and last have intervals that
// overlap: what lies in one cannot be put in order. A run within another is left
// out.
func joined(n int, overlap func(i, j int) bool) []Span {
	var spans []Span
	for i, reach := 0, 0; i < n; i++ {
		j := i
		for j+1 < n && overlap(i, j+1) {
			j++
		}
		if j > i && j > reach {
			spans, reach = append(spans, Span{i, j}), j
		}
	}
	return spans
}

// share is k of n with its interval; of none it is empty.
func share(k, n int) Share {
	s := Share{K: k, N: n}
	if i, err := stats.ProportionIntervalsOf(k, n, 0.95); n > 0 && err == nil {
		s.Value, s.Low, s.High = i.Estimate, i.Wilson.Low, i.Wilson.High
	}
	return s
}

// later lists nonconformities and claims by what they are coded, most first.
func (v *View) later(defects []models.DefectTally, book models.Defects, kind string) {
	type key struct {
		code     string
		severity models.Severity
	}
	rows := map[key]*Later{}
	for _, d := range defects {
		if !ofKind(d, kind) || d.Source != models.FromNonconformity && d.Source != models.FromClaim {
			continue
		}
		k := key{d.Code, cmp.Or(d.Severity, book.Now(d.Code).Severity)}
		if d.Code == "" {
			k.severity = ""
		}
		if rows[k] == nil {
			rows[k] = &Later{Code: k.code, Severity: k.severity}
		}
		if d.Source == models.FromClaim {
			rows[k].Claims += d.Items
		} else {
			rows[k].Nonconformities += d.Items
		}
	}
	for _, r := range rows {
		if r.Claims+r.Nonconformities > 0 {
			v.Later = append(v.Later, *r)
		}
	}
	slices.SortFunc(v.Later, func(a, b Later) int {
		return cmp.Or(cmp.Compare(b.Claims+b.Nonconformities, a.Claims+a.Nonconformities), cmp.Compare(a.Code, b.Code), cmp.Compare(a.Severity, b.Severity))
	})
}

// ofKind leaves out claims on items that the log does not know where their code is
// of another kind of item.
func ofKind(d models.DefectTally, kind string) bool {
	return d.FamilyID != "" || models.IsDefectCode(d.Code) && d.Code[:1] == models.DefectLetter(kind)
}
