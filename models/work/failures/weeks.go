package failures

import (
	"maps"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

// weekly is the chance that a week lies within its limits while the yield is as
// usual: about one in a hundred lies outside.
const weekly = 0.99

// weeks is the yield of each week that has first sets, against the yield of all
// together: limits by the binomial distribution, half of the rest on each side.
func (v *View) weeks(sets []models.Tally) {
	passed, judged := map[string]int{}, map[string]int{}
	for _, s := range sets {
		day, err := time.Parse(time.DateOnly, s.Day)
		if n := s.Passed + s.Failed; err == nil && n > 0 {
			week := monday(day).Format(time.DateOnly)
			passed[week] += s.Passed
			judged[week] += n
		}
	}
	v.Usual = v.Yield.Value
	var x, n []int
	for _, week := range slices.Sorted(maps.Keys(judged)) {
		v.Weeks = append(v.Weeks, Week{Monday: week, Share: share(passed[week], judged[week])})
		x, n = append(x, passed[week]), append(n, judged[week])
	}
	if len(x) < 2 || v.Usual <= 0 || v.Usual >= 1 {
		return
	}
	funnel, err := stats.FunnelOf(x, n, v.Usual, weekly)
	if err != nil {
		return // More weeks than limits are computed for: the yields stand without.
	}
	for i := range v.Weeks {
		w, limits := &v.Weeks[i], funnel.Levels[0].Counts[i]
		w.Limited, w.Low, w.High = true, int(limits.Low), int(limits.High)
		switch {
		case w.Share.K < w.Low:
			w.Signal = "low"
		case w.Share.K > w.High:
			w.Signal = "high"
		}
	}
}

// months is how many need a second round, and what it took until items passed, by the
// month of their first set. Only wheels are worked on round by round.
func (v *View) months(sets []models.Tally) {
	by := map[string]*Took{}
	for _, s := range sets {
		if s.Stage != models.AfterRelief || s.Finished+s.Passed+s.Failed == 0 {
			continue
		}
		month := s.Day[:len("2031-05")]
		if by[month] == nil {
			by[month] = &Took{}
		}
		by[month].add(s)
		v.Took.add(s)
	}
	for _, month := range slices.Sorted(maps.Keys(by)) {
		by[month].settle()
		v.Months = append(v.Months, Month{month, *by[month]})
	}
	v.Took.settle()
}

func (t *Took) add(s models.Tally) {
	t.Finished += s.Finished
	t.Rounds += s.Rounds
	t.Minutes += s.Minutes
	t.Rework += s.Rework
	t.Again.K += s.Failed
	t.Again.N += s.Passed + s.Failed
}

func (t *Took) settle() { t.Again = share(t.Again.K, t.Again.N) }

// Part is what is called a month: the month, or its first and last day in the form of
// ISO 8601 where it was asked for in part or still runs.
func (v *View) Part(month string) string {
	first, err := time.Parse("2006-01", month)
	if err != nil {
		return month
	}
	end := first.AddDate(0, 1, -1).Format(time.DateOnly)
	from, to := max(first.Format(time.DateOnly), v.Query.From), min(end, v.Query.To)
	if v.until != "" {
		to = min(to, v.until)
	}
	if to == end && from[len("2031-05-"):] == "01" || to < from {
		return month
	}
	return from + "/" + to
}
