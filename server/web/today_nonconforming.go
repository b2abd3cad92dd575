package web

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// mostNonconforming is how many nonconformities get a row each before the rest
// share one, and how many corrective actions.
const mostNonconforming = 4

// nonconformingRows are the nonconformities that wait for somebody, those that touch
// safety apart from the others, and the corrective actions that are late; open is how
// many there are. The holds
// that a nonconformity stands on are taken out of the list of holds: what is to be
// done about them is said here.
func (s *site) nonconformingRows(ctx context.Context, today *monitor.Today, people map[string]string) (critical, rows []TodayRow, open int, err error) {
	list, err := s.services.Nonconforming.Open(ctx)
	if err != nil {
		return nil, nil, 0, err
	}
	bound := boundHolds(list)
	today.Holds = slices.DeleteFunc(today.Holds, func(h models.HeldItem) bool { return bound[h.ID] != "" && !h.OfAnother() })
	shown := list
	if len(list) > mostNonconforming+1 {
		shown = list[:mostNonconforming]
	}
	items, err := s.nonconformityItems(ctx, shown)
	if err != nil {
		return nil, nil, 0, err
	}
	for i, r := range s.nonconformityRows(shown, items) {
		row := TodayRow{Mark: r.State, Title: []Span{{Text: r.Number, Mono: true, Path: r.Path}, {Text: " on "}, r.On, {Text: ": " + lowered(r.What)}}, Line: words.Sentence(stopped(list[i].Note)), Since: "since " + s.day(list[i].OpenedAt), Act: Act{Text: "Open it", Path: r.Path}}
		if list[i].Worst() == models.Critical {
			row.Mark = r.Severity
			critical = append(critical, row)
			continue
		}
		rows = append(rows, row)
	}
	more := func(mark Mark, says string) TodayRow {
		return TodayRow{Mark: mark, Title: []Span{{Text: says}}, Act: Act{Text: "See them all", Path: "/nonconformities"}}
	}
	rest := list[len(shown):]
	grave := 0 // The worst come first: what touches safety stays above all others.
	for grave < len(rest) && rest[grave].Worst() == models.Critical {
		grave++
	}
	if grave > 0 {
		critical = append(critical, more(severityMark(models.Critical), plural(grave, "more nonconformity touches safety", "more nonconformities touch safety")))
	}
	if n := len(rest) - grave; n > 0 {
		rows = append(rows, more(Mark{"bars", "Nonconforming", "hold"}, plural(n, "more nonconformity is open", "more nonconformities are open")))
	}
	late, n, err := s.lateActionRows(ctx, people)
	return critical, append(rows, late...), len(list) + n, err
}

// boundHolds are the holds that open nonconformities stand on, with their numbers.
func boundHolds(open []models.NonconformityView) map[string]string {
	bound := map[string]string{}
	for _, v := range open {
		for _, id := range v.AllHolds() {
			bound[id] = v.Number
		}
	}
	return bound
}

// lateActionRows are the corrective actions whose day has passed.
func (s *site) lateActionRows(ctx context.Context, people map[string]string) (rows []TodayRow, late int, err error) {
	list, err := s.services.Corrective.Open(ctx)
	if err != nil {
		return nil, 0, err
	}
	day := s.services.Corrective.Today(ctx)
	for _, v := range list {
		if !v.Overdue(day) {
			continue
		}
		late++
		stated := v.Stated()
		what := "was to be done by "
		if v.State == models.ActionDone {
			what = "was to be looked at for its effect on "
		}
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Late", "care"}, Title: []Span{{Text: "Corrective action "}, {Text: v.Number, Mono: true, Path: actionPath(v.Number)}, {Text: " " + what + words.Date(v.DueBy())}},
			Line: stopped(shortened(stated.Problem, 160)) + " " + name(people, stated.OwnerID) + " sees to it.", Act: Act{Text: "Open it", Path: actionPath(v.Number)}})
	}
	if late > mostNonconforming+1 {
		rows = append(rows[:mostNonconforming], TodayRow{Mark: Mark{"triangle", "Late", "care"}, Title: []Span{{Text: fmt.Sprintf("%d more corrective actions are late", late-mostNonconforming)}}, Act: Act{Text: "See them all", Path: "/corrective-actions"}})
	}
	return rows, late, nil
}
