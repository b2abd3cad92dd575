package failures

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/worktest"
)

func near(a, b float64) bool { return math.Abs(a-b) < 5e-4 }

// The picture of what fails: 46, 20 and 17 of 472 wheels. Exact 95 % intervals of
// the means behind the counts are 33.68 to 61.36, 12.22 to 30.89 and 9.90 to 27.22
// (Garwood; chi-square quantiles of a table over 2), so that the first is clear of
// the second and the second is not of the third. 383 of 472 passed: 0.8114, by Wilson's
// formula 0.7737 to 0.8442.
func TestWhatFailsMost(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "stand 1", "vale", 383, 89)}, Defects: []models.DefectTally{failed("W03", 17), failed("W01", 46), failed("W06", 20)}}}
	v := ask(t, s, owner, Query{})
	var order []string
	for _, c := range v.Causes {
		order = append(order, fmt.Sprint(c.Code, " ", c.Share.K, " of ", c.Share.N))
	}
	if want := []string{"W01 46 of 472", "W06 20 of 472", "W03 17 of 472"}; !slices.Equal(order, want) || !slices.Equal(v.Joined, []Span{{1, 2}}) {
		t.Errorf("%v joined %v, want %v joined [{1 2}]", order, v.Joined, want)
	}
	if !near(v.Yield.Value, 0.8114) || !near(v.Yield.Low, 0.7737) || !near(v.Yield.High, 0.8442) {
		t.Errorf("yield %+v", v.Yield)
	}
	// (1 - 46/472)(1 - 20/472)(1 - 17/472) = 0.9025 x 0.9576 x 0.9640 = 0.8332
	if !near(v.Rolled.Value, 0.8332) || v.Rolled.Low >= v.Rolled.Value || v.Rolled.High <= v.Rolled.Value {
		t.Errorf("rolled %+v", v.Rolled)
	}
	if want := models.NewRemark("failures_most", "k", "46", "n", "472", "kinds", "wheel", "share", "9.7", "low", "7.4", "high", "12.8", "first_fault", "W01"); !reflect.DeepEqual(v.Answer, want) {
		t.Errorf("answer %v, want %v", v.Answer, want)
	}
	if v.Says[0].About != models.AskFailures || v.Says[0].Query["what"] != models.KindWheel || v.Says[0].Query["from"] != "2031-02-24" || v.Says[0].Query["to"] != "2031-05-14" {
		t.Errorf("it opens %v %v; want wheels of the week of 14 May and the eleven before", v.Says[0].About, v.Says[0].Query)
	}
}

func TestTheAnswerSaysWhatIsSettled(t *testing.T) {
	for _, c := range []struct {
		name string
		sets models.Tally
		told []models.DefectTally
		code string
	}{
		{"nothing was measured", models.Tally{}, nil, "failures_none_measured"},
		{"nothing was read in whole", models.Tally{FamilyID: "rear", Day: "2031-05-12", Inspected: 3}, nil, "failures_none_judged"},
		{"one result, which passed", set("2031-05-12", "light", "", "vale", 1, 0), nil, "failures_none"},
		{"one result, which failed", set("2031-05-12", "light", "", "vale", 0, 1), []models.DefectTally{failed("W01", 1)}, "failures_only"},
		{"two alike", set("2031-05-12", "light", "", "vale", 80, 20), []models.DefectTally{failed("W01", 11), failed("W02", 9)}, "failures_most_unsettled"},
		{"four alike", set("2031-05-12", "light", "", "vale", 60, 40), []models.DefectTally{failed("W01", 11), failed("W02", 9), failed("W03", 10), failed("W04", 10)}, "failures_most_of_many"},
	} {
		s := &told{Tallied: models.Tallied{Defects: c.told}}
		if c.sets.Inspected > 0 {
			s.Sets = []models.Tally{c.sets}
		}
		if v := ask(t, s, owner, Query{}); v.Answer.Code != c.code || v.Says[0].Code != c.code {
			t.Errorf("%s: %s, want %s", c.name, v.Answer.Code, c.code)
		}
	}
}

// Two weeks of 10 and 90 at a yield of 0.5: of ten, 0 and 10 have chances of 1/1024
// each, 1 or fewer of 11/1024 = 0.0107, so that 1 to 9 is what 0.005 on each side
// leaves.
func TestAWeekOutsideItsLimits(t *testing.T) {
	week := func(first int) View {
		// Of 100 in all 50 pass, whatever the first week has.
		return ask(t, &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-05", "light", "", "vale", first, 0), set("2031-05-11", "light", "", "vale", 0, 10-first), set("2031-05-12", "light", "", "vale", 50-first, 40+first)}}}, owner, Query{})
	}
	for first, signal := range map[int]string{0: "low", 1: "", 9: "", 10: "high"} {
		w := week(first).Weeks
		if len(w) != 2 || w[0].Monday != "2031-05-05" || w[0].Share.N != 10 || w[0].Share.K != first || w[0].Low != 1 || w[0].High != 9 || w[0].Signal != signal {
			t.Errorf("%d of 10: %+v, want limits 1 to 9 and %q", first, w, signal)
		}
	}
}

// One week, or no failure at all, has no limits; nothing is NaN.
func TestWeeksWithoutLimits(t *testing.T) {
	for name, sets := range map[string][]models.Tally{"one week": {set("2031-05-12", "light", "", "vale", 5, 5)}, "no failure": {set("2031-05-05", "light", "", "vale", 5, 0), set("2031-05-12", "light", "", "vale", 5, 0)}} {
		for _, w := range ask(t, &told{Tallied: models.Tallied{Sets: sets}}, owner, Query{}).Weeks {
			if w.Limited || w.Signal != "" || math.IsNaN(w.Share.Value) {
				t.Errorf("%s: %+v", name, w)
			}
		}
	}
}

// Stand 2 has nearly all of the heavy wheels, of which half fail wherever they are
// trued; of the light ones a tenth fails. Raw, stand 2 fails 46 of 100 and stand 1 14
// of 100; held against its mix, neither differs:
//
//	stand 1: 90 light x 0.1 + 10 heavy x 0.5 = 14 expected
//	stand 2: 10 light x 0.1 + 90 heavy x 0.5 = 46 expected
func TestStandsAreAdjustedForTheirMix(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{
		set("2031-05-12", "light", "stand 1", "vale", 81, 9), set("2031-05-12", "heavy", "stand 1", "vale", 5, 5),
		set("2031-05-12", "light", "stand 2", "pell", 9, 1), set("2031-05-12", "heavy", "stand 2", "pell", 45, 45)}}}
	v := ask(t, s, owner, Query{})
	cut := v.Cuts[0]
	if cut.By != ByPlace || len(cut.Groups) != 2 {
		t.Fatalf("%+v", v.Cuts)
	}
	for i, want := range []struct {
		k        int
		expected float64
	}{{14, 14}, {46, 46}} {
		if g := cut.Groups[i]; g.K != want.k || !near(g.Expected, want.expected) || g.Signal != "" || g.P < 0.9 {
			t.Errorf("%+v, want %d failed, %.0f expected, no signal", g, want.k, want.expected)
		}
	}
	// The products themselves do differ: 10 of 100 against 50 of 100, 30 expected each.
	products := v.Cuts[slices.IndexFunc(v.Cuts, func(c Cut) bool { return c.By == ByProduct })]
	if g := products.Groups; g[0].Name != "Heavy" || g[0].Signal != "high" || g[1].Signal != "low" || !near(g[1].Expected, 30) {
		t.Errorf("products %+v", g)
	}
}

// Asked for a cause, groups are compared by what failed so: of 100 wheels each, 30
// at stand 1 failed in dish and none at stand 2, which is 15 expected of each.
func TestGroupsByOneCause(t *testing.T) {
	at := func(code, place string, n int) models.DefectTally {
		d := failed(code, n)
		d.ProductID, d.Place, d.PersonID = "light", place, "vale"
		return d
	}
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "stand 1", "vale", 70, 30), set("2031-05-12", "light", "stand 2", "vale", 70, 30)},
		Defects: []models.DefectTally{at("W03", "stand 1", 30), at("W01", "stand 2", 30)}, Lots: []models.LotTally{{FamilyID: "rear", Day: "2031-05-12", LotID: "1", ProductID: "light", Passed: 140, Failed: 60}}}}
	if v := ask(t, s, owner, Query{}); len(v.Outside()) != 0 || v.Cuts[len(v.Cuts)-1].By != ByLot {
		t.Errorf("by whatever failed: %v", v.Outside())
	}
	v := ask(t, s, owner, Query{Code: "W03"})
	g := v.Cuts[0].Groups
	if g[0].K != 30 || g[0].N != 100 || !near(g[0].Expected, 15) || g[0].Signal != "high" || g[1].K != 0 || g[1].Signal != "low" {
		t.Errorf("by dish: %+v", g)
	}
	said := v.Outside()
	if len(said) != 2 || said[0].Code != "failures_of_one_high" || said[0].Values["first_fault"] != "W03" || said[0].Values["group"] != "stand 1" || said[0].Query["code"] != "W03" {
		t.Errorf("%v", said)
	}
	if slices.ContainsFunc(v.Cuts, func(c Cut) bool { return c.By == ByLot }) {
		t.Error("lots are compared by a cause that they are not counted by")
	}
}

// By a cause that nothing failed by no groups are compared, and that is said.
func TestGroupsByACauseOfNothing(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "stand 1", "vale", 70, 30), set("2031-05-12", "light", "stand 2", "vale", 90, 10)}, Defects: []models.DefectTally{failed("W01", 40)}}}
	v := ask(t, s, owner, Query{Code: "W14"})
	var codes []string
	for _, x := range v.Says {
		codes = append(codes, x.Code)
	}
	if len(v.Cuts) != 0 || v.Compared != 0 || !slices.Contains(codes, "failures_of_one_none") || slices.Contains(codes, "failures_alike") {
		t.Errorf("%d cuts, %d groups compared, said is %q", len(v.Cuts), v.Compared, codes)
	}
}

// A group of 20 at one half, of six compared: 0.05/6 = 0.00833, half of it 0.00417.
// Of 20 fair throws 16 or more come up with 0.0059, 17 or more with 0.0013 (binomial
// table), so that 17 is a signal and 16 is none.
func TestAGroupAtItsLimit(t *testing.T) {
	for k, signal := range map[int]string{16: "", 17: "high", 4: "", 3: "low"} {
		g := Group{K: k, N: 20, Expected: 10}
		if err := g.judge(6); err != nil || g.Signal != signal || g.Least != 4 || g.Most != 16 {
			t.Errorf("%d of 20: %+v, %v; want %q with 4 to 16 within", k, g, err, signal)
		}
	}
	for _, expected := range []float64{0, 20} {
		g := Group{K: int(expected), N: 20, Expected: expected}
		if err := g.judge(6); err != nil || g.Signal != "" || g.P != 1 {
			t.Errorf("%v expected of 20: %+v, %v", expected, g, err)
		}
	}
}

// 19 first sets are listed by their counts; 20 are compared, where there is another.
func TestFewAreNotCompared(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "stand 1", "vale", 19, 1), set("2031-05-12", "light", "stand 2", "pell", 19, 1), set("2031-05-12", "light", "stand 3", "oster", 0, 19)}}}
	v := ask(t, s, owner, Query{})
	if c := v.Cuts[0]; len(c.Groups) != 2 || len(c.Few) != 1 || c.Few[0].Name != "stand 3" || c.Few[0].Signal != "" {
		t.Errorf("%+v", c)
	}
	if c := v.Cuts[len(v.Cuts)-1]; c.By != ByMonth || c.Among != 0 || len(c.Groups) != 0 || len(c.Few) != 1 {
		t.Errorf("the one month: %+v", c)
	}
	if v.Compared != 4 {
		t.Errorf("%d compared, want two stands and two builders", v.Compared)
	}
}

// Builders stand in the order of their names, and are seen by who decides; others
// see themselves. What is said names no other builder either.
func TestBuildersAreNotRanked(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "", "vale", 90, 10), set("2031-05-12", "light", "", "pell", 10, 90), set("2031-05-12", "light", "", "oster", 60, 40)}}}
	builders := func(actor models.Actor) (names []string, hidden bool, said int) {
		v := ask(t, s, actor, Query{})
		for _, c := range v.Cuts {
			if c.By == ByPerson {
				hidden = c.Hidden
				for _, g := range c.Groups {
					names = append(names, g.Name)
				}
			}
		}
		for _, x := range v.Says {
			if x.Code == "failures_person_high" || x.Code == "failures_person_low" {
				said++
			}
		}
		return names, hidden, said
	}
	for _, c := range []struct {
		actor  models.Actor
		names  []string
		hidden bool
		said   int
	}{
		{owner, []string{"Oster", "Pell", "Vale"}, false, 2}, {models.Actor{PersonID: "i", Role: models.Inspector}, []string{"Oster", "Pell", "Vale"}, false, 2},
		{models.Actor{PersonID: "vale", Role: models.Operator}, []string{"Vale"}, true, 1}, {models.Actor{PersonID: "d", Role: models.Desk}, nil, true, 0},
	} {
		names, hidden, said := builders(c.actor)
		if !slices.Equal(names, c.names) || hidden != c.hidden || said != c.said {
			t.Errorf("%s sees %v, hidden %v, %d said; want %v, %v, %d", c.actor.Role, names, hidden, said, c.names, c.hidden, c.said)
		}
	}
	vale := models.Actor{PersonID: "vale", Role: models.Operator}
	if _, err := s.service().Items(t.Context(), vale, ItemQuery{PersonID: "pell"}); !errors.Is(err, models.ErrForbidden) {
		t.Errorf("another's items: %v", err)
	}
	list, err := s.service().Items(t.Context(), vale, ItemQuery{})
	if err != nil || list.List[0].PersonID != "" || list.List[1].PersonID != "vale" {
		t.Errorf("items %+v, %v: whose they are is told of one’s own alone", list.List, err)
	}
}

// Claims of 40, 50 and 10 EUR and 60 minutes at 30 EUR an hour make 130 EUR; what
// is in another currency stands by itself. Of six amounts there is an interval:
// squares 1600+2500+100 and, at 0.5 EUR a minute, 0.25 x 1500 = 375, so that
// 130 +- 1.96 x sqrt(4575) = 130 +- 132.6, cut at 0.
func TestCostsKeepTheirCurrencies(t *testing.T) {
	claim := func(code, currency, amount string, n int, squares float64) models.DefectTally {
		return models.DefectTally{FamilyID: "rear", Day: "2031-05-12", Source: models.FromClaim, Code: code, Currency: currency, Items: n, Priced: n, Amount: amount, AmountSq: squares}
	}
	rework := failed("W08", 3)
	rework.Rework, rework.ReworkSq = 60, 1500
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "", "vale", 10, 3)}, Defects: []models.DefectTally{claim("W08", "EUR", "40", 1, 1600), claim("W08", " eur ", "60.00", 2, 2600), claim("W01", "CHF", "7.5", 1, 56.25), rework}},
		settings: map[string]string{models.SettingHourlyRate: "30", models.SettingRateCurrency: "Eur"}}
	v := ask(t, s, owner, Query{})
	if len(v.Costs) != 2 || v.Costs[0].Currency != "CHF" || v.Costs[1].Currency != "EUR" {
		t.Fatalf("%+v", v.Costs)
	}
	if r := v.Costs[1].Rows[0]; r.Amount != "100.00" || !near(r.Total, 130) || r.Low != 0 || math.Abs(r.High-262.57) > 0.1 || !r.Interval || r.Minutes != 60 {
		t.Errorf("%+v", r)
	}
	if r := v.Costs[0].Rows[0]; r.Interval || !near(r.Total, 7.5) {
		t.Errorf("%+v", r)
	}
	s.settings = nil
	v = ask(t, s, owner, Query{})
	if r := v.Costs[1].Rows[0]; !near(r.Total, 100) || !slices.ContainsFunc(v.Says, func(x models.Sentence) bool { return x.Code == "failures_no_rate" }) {
		t.Errorf("without a rate: %+v, said %v", r, v.Says)
	}
}

// A month's interval wholly below the first one's is a fall: 15 of 20 (0.531 to
// 0.888) against 4 of 20 (0.081 to 0.416); against 9 of 20 (0.258 to 0.658) it is
// not settled. By Wilson's formula.
func TestRoundsOfMonths(t *testing.T) {
	for again, code := range map[int]string{4: "failures_again_fell", 9: "failures_again_same", 20: "failures_again_same"} {
		month := func(day string, again int) models.Tally {
			x := set(day, "light", "", "vale", 20-again, again)
			x.Finished, x.Rounds, x.Minutes = 20, 20+again, 300
			return x
		}
		v := ask(t, &told{Tallied: models.Tallied{Sets: []models.Tally{month("2031-03-10", 15), month("2031-05-12", again)}}}, owner, Query{})
		if !slices.ContainsFunc(v.Says, func(x models.Sentence) bool { return x.Code == code }) {
			t.Errorf("%d of 20 after 15 of 20: %v, want %s", again, v.Says, code)
		}
		if v.Took.Rounds != 55+again || len(v.Months) != 2 {
			t.Errorf("%+v in %v", v.Took, v.Months)
		}
	}
}

func TestBadQueries(t *testing.T) {
	for name, c := range map[string]struct {
		q    Query
		want []string
	}{
		"no day":               {Query{From: "yesterday", To: "2031-13-01"}, []string{"from: bad_date", "to: bad_date"}},
		"end before its start": {Query{From: "2031-05-14", To: "2031-05-13"}, []string{"to: end_before_start"}},
		"another's product":    {Query{What: "rear", ProductID: "x"}, []string{"product: unknown_product"}},
		"one day":              {Query{From: "2031-05-14", To: "2031-05-14"}, nil},
		"a kind without any":   {Query{What: models.KindBlock}, nil},
		"a code of nothing":    {Query{Code: "zzz"}, []string{"code: unknown_code"}},
		"a defect":             {Query{Code: "W14"}, nil},
		"a result":             {Query{Code: "spokes_seated"}, nil},
		"all of time":          {Query{From: "0000-01-01", To: "9999-12-31"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := (&told{}).service().Ask(t.Context(), owner, c.q)
			worktest.WantProblems(t, err, c.want...)
			_, err = (&told{}).service().Items(t.Context(), owner, ItemQuery{Query: c.q})
			worktest.WantProblems(t, err, c.want...)
		})
	}
	if _, err := (&told{}).service().Ask(t.Context(), owner, Query{What: "nobody’s"}); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("a family that there is not: %v", err)
	}
}

// A review of a week tells groups and weeks that stand out over twelve, and says so: up
// to Wednesday 14 May 2031, of the week that runs, those begin on Monday 24 February. Of
// 100 wheels each, 10 failed at stand 1 and 50 at stand 2.
func TestAReviewSaysOnWhichWeeksItRests(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-05", "light", "stand 1", "vale", 90, 10), set("2031-05-12", "light", "stand 2", "vale", 50, 50)}}}
	from := time.Date(2031, 5, 12, 0, 0, 0, 0, time.UTC)
	said, err := s.service().Said(t.Context(), from, from.AddDate(0, 0, 7))
	if err != nil {
		t.Fatal(err)
	}
	rests := map[string]bool{}
	for _, x := range said {
		if x.Values["weeks"] == "" {
			continue
		}
		rests[x.Code] = true
		if text := words.In("en").Remark(x.Remark); !strings.Contains(text, "12 weeks, 24 Feb 2031 to 14 May 2031") || x.Query["from"] != "2031-02-24" || x.Query["to"] != "2031-05-14" {
			t.Errorf("%q, with %v", text, x.Query)
		}
	}
	for _, want := range []string{"failures_week_low_over", "failures_place_low_over", "failures_place_high_over"} {
		if !rests[want] {
			t.Errorf("%s is not said; said is %v", want, rests)
		}
	}
	for _, x := range said {
		if strings.HasPrefix(x.Code, "failures_place_") && !rests[x.Code] {
			t.Errorf("%s is said of the week alone", x.Code)
		}
	}
}

// Each sentence of a group or a week has one that says the longer time.
func TestEverySentenceOfTheReviewHasWords(t *testing.T) {
	for _, what := range []string{"week", ByPlace, ByProduct, ByLot, ByMonth} {
		for _, signal := range []string{"high", "low"} {
			if code := "failures_" + what + "_" + signal + "_over"; !words.In("en").Has(code) {
				t.Errorf("%s has no words", code)
			}
		}
	}
}

// On a real database: what is recorded is told at once, of the kind asked for, and
// for a review of the day.
func TestRecordedIsTold(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := New(h.Store, h.Clock, worktest.Zone)
		bad := h.Extremes()
		bad.Sets[0].Values = []string{"2.00", "0.00"}
		h.MustRecord(bad)
		h.MustRecord(h.Pack())
		v, err := s.Ask(t.Context(), h.Owner, Query{})
		h.Must(err)
		if v.Failed != 1 || v.Inspected != 1 || len(v.Causes) != 1 || v.Causes[0].Code != "W01" {
			t.Errorf("%+v", v)
		}
		items, err := s.Items(t.Context(), h.Owner, ItemQuery{Query: Query{Code: "W01"}})
		h.Must(err)
		if items.Total != 1 || items.List[0].Serial != h.Serial[models.KindWheel] || items.List[0].Failed[0].Code != "lateral_tir" {
			t.Errorf("%+v", items)
		}
		said, err := s.Said(t.Context(), h.Now.AddDate(0, 0, -1), h.Now.AddDate(0, 0, 1))
		h.Must(err)
		var codes []string
		for _, x := range said {
			codes = append(codes, x.Code+" "+x.Query["what"])
		}
		if want := []string{"failures_only wheel", "failures_yield wheel", "failures_none pack", "failures_yield pack"}; !slices.Equal(codes, want) {
			t.Errorf("%q, want %q", codes, want)
		}
	})
}
