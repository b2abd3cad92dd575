package effect

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

const (
	// reach is how long after an action its effect is still said in a review, and
	// how many days on each side are compared for it.
	reach = 60
	rate  = 0.05
)

// Said are the sentences of a review of a time: of each corrective action that was
// carried out up to 60 days before its end, which results of any family changed
// over it. All results are looked at, so they are judged together, at a rate of false
// discoveries of 5 %; an action after which nothing stands out among as many as were
// looked at is said to be one (the page of one result, which looks at that alone, may
// still show a difference), and so is one of which nothing can be told yet. What was read after
// the time is left out, so that the same is said of it whenever it is looked back on.
func (s *Service) Said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	carried, err := s.carried(ctx)
	if err != nil {
		return nil, fmt.Errorf("what corrective actions did: %w", err)
	}
	zone := s.zone(ctx)
	var actions []Event
	for _, e := range carried {
		if e.At.Before(to) && !e.At.Before(to.AddDate(0, 0, -reach)) {
			e.Day = e.At.In(zone).Format(time.DateOnly)
			actions = append(actions, e)
		}
	}
	if len(actions) == 0 {
		return nil, nil
	}
	families, err := s.store.Families(ctx)
	if err != nil {
		return nil, err
	}
	type tried struct {
		action int
		view   View
	}
	var all []tried
	var p []float64
	for _, f := range families {
		spec, err := s.store.SpecificationInForce(ctx, f.ID, nil)
		if err != nil {
			return nil, fmt.Errorf("specification of family %s: %w", f.Name, err)
		}
		var limits []models.Limit
		var printed []int
		var codes []string
		for _, c := range spec.Characteristics {
			for _, l := range c.Results {
				if l.HasLimit() && (c.Form == models.Measured || c.Form == models.Counted) {
					limits, printed, codes = append(limits, l), append(printed, c.Printed(l)), append(codes, l.Result)
				}
			}
		}
		if len(codes) == 0 {
			continue
		}
		searched, err := s.store.Searched(ctx, models.SearchQuery{FamilyID: f.ID, From: to.AddDate(0, 0, -2*reach), Results: codes, Limit: mostInspections, Bare: true})
		if err != nil {
			return nil, fmt.Errorf("values of family %s: %w", f.Name, err)
		}
		searched.Inspections = slices.DeleteFunc(searched.Inspections, func(i models.SearchedInspection) bool { return !i.MeasuredAt.Before(to) })
		for i, e := range actions {
			for n, l := range limits {
				v := View{Query: Query{FamilyID: f.ID, Result: l.Result, At: e.At, Days: reach}, Day: e.Day, Family: f, Event: &actions[i]}
				v.measures(l, printed[n])
				v.Points, _ = v.points(searched, zone)
				if err := v.compare(nil); err != nil {
					return nil, err
				}
				if v.Answered {
					all, p = append(all, tried{i, v}), append(p, v.P)
				}
			}
		}
	}
	var out []models.Sentence
	found, compared := map[int]bool{}, map[int]int{}
	for _, t := range all {
		compared[t.action]++
	}
	if len(p) > 0 {
		discoveries, err := stats.FalseDiscovery(p, rate)
		if err != nil {
			return nil, err
		}
		for i, d := range discoveries {
			v := all[i].view
			if !d.Found || v.Low <= 0 && v.High >= 0 {
				continue
			}
			found[all[i].action] = true
			out = append(out, v.Sentence(actions[all[i].action]))
		}
	}
	for i, e := range actions {
		if !found[i] {
			r := e.Remark()
			switch n := compared[i]; n {
			case 0:
				r.Code, r.Values["least_n"], r.Values["least_days"] = "effect_said_few", strconv.Itoa(FewestValues), strconv.Itoa(FewestDays)
			case 1:
				r.Code = "effect_said_none"
			default:
				r.Code, r.Values["n"] = "effect_said_none_of", strconv.Itoa(n)
			}
			out = append(out, models.Sentence{Remark: r, About: models.AskEffect})
		}
	}
	return out, nil
}

// Sentence says what changed over an event.
func (v *View) Sentence(e Event) models.Sentence {
	r := v.answer()
	r.Code = strings.Replace(r.Code, "effect_", "effect_said_", 1)
	r.Values["ref"], r.Values["family"], r.Values["date"] = e.Ref, v.Family.Name, e.Day
	return models.Sentence{Remark: r, About: models.AskEffect, Query: map[string]string{"family": v.FamilyID, "result": v.Result, "at": e.At.UTC().Format(time.RFC3339)}}
}
