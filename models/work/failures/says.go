package failures

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
)

// say fills in what is said, the answer first.
func (v *View) say(n names) {
	v.Answer = v.answer()
	v.Says = []models.Sentence{v.sentence(v.Answer)}
	if v.Inspected == 0 {
		return
	}
	if v.Yield.N > 0 {
		v.tell("failures_yield", v.shareValues(v.Yield)...)
	}
	for _, w := range slices.Backward(v.Weeks) {
		if w.Signal != "" {
			v.Says = append(v.Says, v.sentence(v.weekSays(w)))
		}
	}
	if v.asksForNone() {
		v.tell("failures_of_one_none", "faults", v.fault(v.Query.Code), "kinds", v.Kind)
	}
	outside := v.Outside()
	v.Says = append(v.Says, outside...)
	if len(outside) == 0 && v.Compared > 0 {
		code := "failures_alike"
		if v.Hidden() {
			code = "failures_alike_seen"
			if v.Compared == 1 {
				code = "failures_alike_seen_one"
			}
		}
		v.tell(code, "count", strconv.Itoa(v.Compared))
	}
	v.sayTook()
	v.sayCosts()
	if v.Undecided > 0 {
		v.tell("failures_undecided", "n", strconv.Itoa(v.Undecided))
	}
	if v.Waiting > 0 {
		v.tell("failures_waiting", "days", strconv.Itoa(v.Waiting))
	}
}

// asksForNone says whether groups were asked by a cause that nothing failed by.
func (v *View) asksForNone() bool {
	return v.Query.Code != "" && !slices.ContainsFunc(v.Causes, func(c Cause) bool { return c.Code == v.Query.Code })
}

func (v *View) sentence(r models.Remark) models.Sentence {
	query := map[string]string{"from": v.Query.From, "to": v.Query.To}
	for name, value := range map[string]string{"what": v.Query.What, "product": v.Query.ProductID, "place": v.Query.Place, "code": v.Query.Code} {
		if value != "" {
			query[name] = value
		}
	}
	if v.Query.What == "" && v.Kind != "" {
		query["what"] = v.Kind
	}
	return models.Sentence{Remark: r, About: models.AskFailures, Query: query}
}

func (v *View) tell(code string, values ...string) {
	v.Says = append(v.Says, v.sentence(models.NewRemark(code, values...)))
}

func (v *View) shareValues(s Share) []string {
	return []string{"k", strconv.Itoa(s.K), "n", strconv.Itoa(s.N), "kinds", v.Kind, "share", Percent(s.Value), "low", Percent(s.Low), "high", Percent(s.High)}
}

// answer is what the page is headed by.
func (v *View) answer() models.Remark {
	switch {
	case v.Inspected == 0:
		return models.NewRemark("failures_none_measured", "kinds", v.Kind)
	case v.Yield.N == 0:
		return models.NewRemark("failures_none_judged", "n", strconv.Itoa(v.Inspected), "kinds", v.Kind)
	case len(v.Causes) == 0:
		return models.NewRemark("failures_none", "n", strconv.Itoa(v.Yield.N), "kinds", v.Kind)
	}
	values := append(v.shareValues(v.Causes[0].Share), "first_fault", v.fault(v.Causes[0].Code))
	if len(v.Causes) == 1 {
		return models.NewRemark("failures_only", values...)
	}
	if len(v.Joined) == 0 || v.Joined[0].From > 0 {
		return models.NewRemark("failures_most", values...)
	}
	next := v.Causes[1 : v.Joined[0].To+1]
	if len(next) > 2 {
		return models.NewRemark("failures_most_of_many", append(values, "count", strconv.Itoa(len(next)))...)
	}
	codes := make([]string, len(next))
	for i, c := range next {
		codes[i] = v.fault(c.Code)
	}
	return models.NewRemark("failures_most_unsettled", append(values, "faults", strings.Join(codes, ","))...)
}

// over says beside what was found in which weeks it was: a review tells of a shorter
// time, in which groups are too small to compare.
func (v *View) over(s models.Sentence) models.Sentence {
	s.Code += "_over"
	s.Values["weeks"], s.Values["over_from"], s.Values["until"] = strconv.Itoa(UsualWeeks), v.Query.From, v.Query.To
	return s
}

func (v *View) weekSays(w Week) models.Remark {
	values := []string{"date", w.Monday, "k", strconv.Itoa(w.Share.K), "n", strconv.Itoa(w.Share.N), "kinds", v.Kind, "share", Percent(v.Usual)}
	if w.Signal == "low" {
		return models.NewRemark("failures_week_low", append(values, "least", strconv.Itoa(w.Low))...)
	}
	return models.NewRemark("failures_week_high", append(values, "most", strconv.Itoa(w.High))...)
}

// Outside says each group that differs from what its mix gives.
func (v *View) Outside() []models.Sentence {
	var out []models.Sentence
	for _, c := range v.Cuts {
		for _, g := range c.Groups {
			if g.Signal == "" {
				continue
			}
			values := []string{"k", strconv.Itoa(g.K), "n", strconv.Itoa(g.N), "kinds", v.Kind, "expected", strconv.FormatFloat(g.Expected, 'f', 1, 64)}
			code, name := "failures_"+c.By+"_"+g.Signal, "name"
			switch {
			case v.Query.Code != "":
				code, name, values = "failures_of_one_"+g.Signal, "group", append(values, "first_fault", v.fault(v.Query.Code))
			case c.By == ByMonth:
				name = "month"
			}
			out = append(out, v.sentence(models.NewRemark(code, append(values, name, g.Name)...)))
		}
	}
	return out
}

// sayTook says what it took until items passed, and whether more or fewer of the last
// month with enough first sets need a second round than of the first one: only where
// their intervals do not overlap.
func (v *View) sayTook() {
	if finished := float64(v.Took.Finished); finished > 0 {
		v.tell("failures_rounds", "n", strconv.Itoa(v.Took.Finished), "kinds", v.Kind, "rounds", strconv.FormatFloat(float64(v.Took.Rounds)/finished, 'f', 2, 64), "minutes", strconv.FormatFloat(float64(v.Took.Minutes)/finished, 'f', 0, 64))
	}
	enough := slices.DeleteFunc(slices.Clone(v.Months), func(m Month) bool { return m.Again.N < FewestInGroup })
	if len(enough) < 2 {
		return
	}
	first, last := enough[0], enough[len(enough)-1]
	code := "failures_again_same"
	switch {
	case last.Again.High < first.Again.Low:
		code = "failures_again_fell"
	case last.Again.Low > first.Again.High:
		code = "failures_again_rose"
	}
	v.tell(code, "first_month", v.Part(first.Month), "last_month", v.Part(last.Month), "kinds", v.Kind, "k", strconv.Itoa(last.Again.K), "n", strconv.Itoa(last.Again.N), "share", Percent(last.Again.Value),
		"k_before", strconv.Itoa(first.Again.K), "n_before", strconv.Itoa(first.Again.N), "share_before", Percent(first.Again.Value))
}

func (v *View) sayCosts() {
	for _, c := range v.Costs {
		top := c.Rows[0]
		values := []string{"first_fault", v.fault(top.Code), "amount", Money(top.Total), "total", Money(c.Total), "currency", c.Currency}
		switch {
		case !top.Interval:
			v.tell("failures_cost_few", values...)
		default:
			v.tell("failures_cost", append(values, "low", Money(top.Low), "high", Money(top.High))...)
		}
	}
	if v.Rate == nil {
		v.tell("failures_no_rate")
	}
}

// fault is a defect by its code, or as the shop calls it in words of its own.
func (v *View) fault(code string) string { return cmp.Or(v.own[code], code) }

// Percent is a share in per cent with one decimal.
func Percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 1, 64) }

// Money is an amount with two decimals.
func Money(amount float64) string { return strconv.FormatFloat(amount, 'f', 2, 64) }

// until is a day, or today where that has yet to come: the last of the weeks that a
// review of a time which still runs looks back on, in words and in pictures.
func (s *Service) until(ctx context.Context, day string) string {
	return min(day, s.now().In(s.zone(ctx)).Format(time.DateOnly))
}

// Said is what is to be told of the time from a moment until another, for every
// kind of item that had first sets in it: what fails most and the yield of that time
// alone, and the weeks in it and the groups that differ among the last twelve weeks,
// said to rest on those.
// Nobody is named.
func (s *Service) Said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	zone := s.zone(ctx)
	first, last := from.In(zone).Format(time.DateOnly), to.Add(-time.Millisecond).In(zone).Format(time.DateOnly)
	var out []models.Sentence
	for _, kind := range Kinds {
		v, err := s.Ask(ctx, models.Actor{}, Query{What: kind, From: first, To: last})
		if err != nil {
			return nil, err
		}
		if v.Inspected == 0 {
			continue
		}
		out = append(out, v.Says[0])
		for _, said := range v.Says[1:] {
			switch said.Code {
			case "failures_yield", "failures_cost", "failures_cost_few", "failures_rounds":
				out = append(out, said)
			}
		}
		around, err := s.Ask(ctx, models.Actor{}, Query{What: kind, To: s.until(ctx, last)})
		if err != nil {
			return nil, err
		}
		for _, w := range around.Weeks {
			sunday, err := time.Parse(time.DateOnly, w.Monday)
			if err == nil && w.Signal != "" && sunday.AddDate(0, 0, 6).Format(time.DateOnly) >= first {
				out = append(out, around.over(around.sentence(around.weekSays(w))))
			}
		}
		for _, said := range around.Outside() {
			out = append(out, around.over(said))
		}
	}
	return out, nil
}
