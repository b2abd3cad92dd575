package failures

import (
	"context"
	"slices"
	"testing"
	"time"

	"tracewright/models"
)

// Of 30 wheels that were judged at their first set 15 failed, and needed a second round
// whether or not they have passed since: 8 have. Of 25 none has passed yet.
func TestWhatIsNotFinishedNeedsASecondRoundToo(t *testing.T) {
	some, none := set("2031-04-15", "light", "", "vale", 15, 15), set("2031-05-12", "light", "", "vale", 0, 25)
	some.Inspected += 2 // Two were not read in whole.
	some.Finished, some.Rounds, some.Minutes = 23, 31, 300
	v := ask(t, &told{Tallied: models.Tallied{Sets: []models.Tally{some, none}}}, owner, Query{})
	if len(v.Months) != 2 || v.Months[0].Again.K != 15 || v.Months[0].Again.N != 30 || v.Months[1].Again.K != 25 || v.Months[1].Again.N != 25 || v.Took.Again.K != 40 || v.Took.Again.N != 55 {
		t.Errorf("in all %+v, by month %+v", v.Took, v.Months)
	}
	said := map[string]models.Sentence{}
	for _, x := range v.Says {
		said[x.Code] = x
	}
	if x := said["failures_again_rose"]; x.Values["k"] != "25" || x.Values["n"] != "25" || x.Values["k_before"] != "15" || x.Values["n_before"] != "30" {
		t.Errorf("said %+v", v.Says)
	}
	if x := said["failures_rounds"]; x.Values["n"] != "23" { // Rounds and minutes are of those that have passed.
		t.Errorf("said %+v", v.Says)
	}
	// Packs are not worked on round by round.
	some.Stage, some.Finished = models.Final, 0
	if v := ask(t, &told{Tallied: models.Tallied{Sets: []models.Tally{some}}}, owner, Query{}); len(v.Months) != 0 || v.Took.Again.N != 0 {
		t.Errorf("packs: %+v", v.Months)
	}
}

// Of a month that is asked for in part the days are named, wherever its name stands: that
// of the first days and that which still runs.
func TestAPartOfAMonthIsNotCalledTheMonth(t *testing.T) {
	sets := []models.Tally{set("2031-03-10", "light", "", "vale", 30, 0), set("2031-04-15", "light", "", "vale", 30, 0), set("2031-05-12", "light", "", "vale", 0, 30)}
	months := func(q Query) (named []string, said models.Sentence) {
		v := ask(t, &told{Tallied: models.Tallied{Sets: sets}}, owner, q)
		for _, c := range v.Cuts {
			for _, g := range c.Groups {
				if c.By == ByMonth {
					named = append(named, g.Name)
				}
			}
		}
		for _, x := range v.Says {
			if x.Code == "failures_again_rose" {
				said = x
			}
		}
		return named, said
	}
	for name, c := range map[string]struct {
		q           Query
		first, last string
	}{
		"from the 7th until today":        {Query{From: "2031-03-07", To: "2031-05-14"}, "2031-03-07/2031-03-31", "2031-05-01/2031-05-14"},
		"to the end of a month that runs": {Query{From: "2031-03-01", To: "2031-05-31"}, "2031-03", "2031-05-01/2031-05-14"},
	} {
		named, said := months(c.q)
		if !slices.Equal(named, []string{c.first, "2031-04", c.last}) || said.Values["first_month"] != c.first || said.Values["last_month"] != c.last {
			t.Errorf("%s: groups %q, said of %s and %s", name, named, said.Values["first_month"], said.Values["last_month"])
		}
	}
}

// Two stands that are alike, and two builders that are not: who may not see the builders
// is told of the stands alone, and that there are others.
func TestWhatIsHiddenIsNotSaidToBeAlike(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "stand 1", "vale", 48, 2), set("2031-05-12", "light", "stand 1", "pell", 25, 25), set("2031-05-12", "light", "stand 2", "vale", 48, 2), set("2031-05-12", "light", "stand 2", "pell", 25, 25)}}}
	if v := ask(t, s, owner, Query{}); v.Compared != 4 || len(v.Outside()) != 2 {
		t.Errorf("the owner: %d compared, outside %+v", v.Compared, v.Outside())
	}
	v := ask(t, s, models.Actor{PersonID: "d", Role: models.Desk}, Query{})
	if v.Compared != 2 || !v.Hidden() {
		t.Errorf("the desk: %d compared, hidden %t", v.Compared, v.Hidden())
	}
	var alike []models.Sentence
	for _, x := range v.Says {
		if x.Code == "failures_alike" || x.Code == "failures_alike_seen" {
			alike = append(alike, x)
		}
	}
	if len(alike) != 1 || alike[0].Code != "failures_alike_seen" || alike[0].Values["count"] != "2" {
		t.Errorf("the desk is told %+v", alike)
	}
}

// asking remembers the days that were asked for.
type asking struct {
	*told
	to map[string]bool
}

func (a asking) Tallies(ctx context.Context, q models.TallyQuery) (models.Tallied, error) {
	a.to[q.From+" "+q.To] = true
	return a.told.Tallies(ctx, q)
}

// Of a month that runs the words of a review and its pictures look at the same days: the
// month, and the twelve weeks up to today, Monday 24 February to 14 May.
func TestAReviewLooksAtTheSameDaysInWordsAndPictures(t *testing.T) {
	first, last := time.Date(2031, 5, 1, 0, 0, 0, 0, time.UTC), time.Date(2031, 6, 1, 0, 0, 0, 0, time.UTC)
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "", "vale", 30, 5)}}}
	for name, look := range map[string]func(*Service) error{
		"words":    func(s *Service) error { _, err := s.Said(t.Context(), first, last); return err },
		"pictures": func(s *Service) error { _, err := s.Plots(t.Context(), first, last); return err },
	} {
		a := asking{s, map[string]bool{}}
		if err := look(New(a, func() time.Time { return today }, func(context.Context) *time.Location { return time.UTC })); err != nil {
			t.Fatal(err)
		}
		if len(a.to) != 2 || !a.to["2031-05-01 2031-05-31"] || !a.to["2031-02-24 2031-05-14"] {
			t.Errorf("%s look at %v", name, a.to)
		}
	}
}
