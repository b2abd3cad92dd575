package web

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/effect"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// EffectPage is what a result did over a change: its title says it, the picture
// shows both levels.
type EffectPage struct {
	Frame
	About   string
	Answer  string
	Sub     string
	Problem string
	Fields  []Field
	Plot    *LevelPlot
	Facts   []ChartFact
	Notes   []string
	Near    []string // what else happened near the moment
}

// spans are how many days are compared on each side.
var spans = []Choice{{"30", "30 days"}, {"60", "60 days"}, {"90", "90 days"}, {"180", "180 days"}, {"0", "all of the year"}}

func (s *site) effectPage(c *gin.Context) error {
	ctx := c.Request.Context()
	page := EffectPage{Frame: s.frame(c, "Did it help?", "/effect"), About: "Before and after a change"}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	if len(families) == 0 {
		page.Answer, page.Sub = "No family to look at yet", "Before and after is of one result of one family. Add a family first."
		return show(c, "effect", page)
	}
	invalid := &models.InvalidError{}
	q := effect.Query{FamilyID: c.Query("family"), Result: c.Query("result"), ProductID: c.Query("product"), Place: c.Query("place"), PersonID: c.Query("person")}
	q.Days = httpx.WholeDays(invalid, "days", c.DefaultQuery("days", "90"))
	q.At = httpx.DayOrMoment(invalid, "on", firstOf(c.Query("on"), c.Query("at")), s.zone())
	if q.FamilyID == "" {
		q.FamilyID = families[0].ID
		if i := slices.IndexFunc(families, func(f models.Family) bool { return f.Kind == models.KindWheel }); i >= 0 {
			q.FamilyID = families[i].ID
		}
	}
	family, err := s.services.Specify.Family(ctx, q.FamilyID)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(family.Products, func(p models.Product) bool { return p.ID == q.ProductID }) {
		q.ProductID = ""
	}
	results := measured(family.InForce)
	if !slices.Contains(results, q.Result) && len(results) > 0 {
		q.Result = results[0]
		if slices.Contains(results, "lateral_tir") {
			q.Result = "lateral_tir"
		}
	}
	asked := q
	if err := invalid.OrNil(); err != nil && httpx.AsTable(c) {
		return err
	} else if err != nil {
		asked.At = time.Time{}
		page.Problem = english.Problem(invalid.Problems[0])
	}
	view, err := s.services.Effect.For(ctx, httpx.Actor(c), asked)
	var wrong *models.InvalidError
	if errors.As(err, &wrong) && !httpx.AsTable(c) {
		page.Problem = english.Problem(wrong.Problems[0])
		asked.At, asked.Days, err = time.Time{}, 0, nil
		if !slices.ContainsFunc(wrong.Problems, func(p models.Problem) bool { return p.Field == "result" || p.Field == "family" }) {
			view, err = s.services.Effect.For(ctx, httpx.Actor(c), asked)
		}
	}
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	if actor := httpx.Actor(c); !actor.SeesBuilders() {
		maps.DeleteFunc(people, func(id, _ string) bool { return id != actor.PersonID })
	}
	places, err := s.places(c)
	if err != nil {
		return err
	}
	page.Fields = s.effectFields(q, view, families, family, results, people, places, c.Query("on"), c.Query("at"))
	s.fillEffect(&page, view)
	if httpx.AsTable(c) {
		if page.Plot == nil { // Nothing to list is a table without rows.
			page.Plot = s.levelPlot(english.Result(q.Result), view.Unit, view.Decimals, [2]string{"after", "before"}, nil, nil, nil, time.Time{})
		}
		return httpx.SendTable(c, page.Plot.table("before and after"))
	}
	if page.Plot != nil {
		page.Plot.Table = "/effect" + httpx.TableQuery(c)
	}
	return show(c, "effect", page)
}

// places are where gauges lie.
func (s *site) places(c *gin.Context) ([]string, error) {
	gauges, err := s.services.Gauges.Instruments(c.Request.Context())
	if err != nil {
		return nil, err
	}
	found := map[string]bool{}
	for _, g := range gauges {
		if g.Instrument.Place != "" {
			found[g.Instrument.Place] = true
		}
	}
	return slices.Sorted(maps.Keys(found)), nil
}

func (s *site) effectFields(q effect.Query, v effect.View, families []models.Family, family specify.FamilyView, results []string, people map[string]string, places []string, typed, at string) []Field {
	pick := func(name, label, value string, list []Choice) Field {
		if value != "" && !slices.ContainsFunc(list, func(c Choice) bool { return c.Value == value }) {
			list = append(list, Choice{value, value})
		}
		return Field{Name: name, ID: name, Label: label, Kind: "select", Value: value, Choices: list}
	}
	var ofFamilies, ofResults []Choice
	for _, f := range families {
		ofFamilies = append(ofFamilies, Choice{f.ID, f.Name})
	}
	for _, r := range results {
		ofResults = append(ofResults, Choice{r, english.Result(r)})
	}
	ofProducts, ofPlaces, ofPeople := []Choice{{"", "all products"}}, []Choice{{"", "all places"}}, []Choice{{"", "everybody"}}
	for _, p := range family.Products {
		ofProducts = append(ofProducts, Choice{p.ID, p.Name})
	}
	for _, p := range places {
		ofPlaces = append(ofPlaces, Choice{p, p})
	}
	ids := slices.SortedFunc(maps.Keys(people), func(a, b string) int { return strings.Compare(people[a], people[b]) })
	for _, id := range ids {
		ofPeople = append(ofPeople, Choice{id, people[id]})
	}
	events := []Choice{{"", "a day that is typed"}}
	for _, e := range v.Events {
		events = append(events, Choice{e.At.UTC().Format(time.RFC3339Nano), say(e.Remark())})
	}
	chosen := ""
	if v.Event != nil {
		chosen = v.Event.At.UTC().Format(time.RFC3339Nano)
	}
	if typed == "" && chosen == "" {
		typed = at
		if t, err := time.Parse(time.RFC3339, at); err == nil {
			typed = t.In(s.zone()).Format(time.DateOnly)
		}
	}
	return []Field{
		pick("family", "Family", q.FamilyID, ofFamilies), pick("result", "Result", q.Result, ofResults), pick("place", "Place", q.Place, ofPlaces),
		pick("product", "Product", q.ProductID, ofProducts), pick("person", "Builder", q.PersonID, ofPeople), pick("at", "What changed", chosen, events),
		{Name: "on", ID: "on", Label: "Or from this day on", Kind: "date", Value: typed, Optional: true}, pick("days", "Compared on each side", strconv.Itoa(q.Days), spans),
	}
}

// fillEffect turns the view into words and a picture.
func (s *site) fillEffect(page *EffectPage, v effect.View) {
	page.About = english.Result(v.Result) + ", " + v.Family.Name
	if v.Product != nil {
		page.About += ", " + v.Product.Name
	}
	if v.Place != "" {
		page.About += ", " + v.Place
	}
	if v.Person != nil {
		page.About += ", " + v.Person.Name
	}
	page.Answer = words.Sentence(say(v.Answer))
	if v.Answer.Code == "" {
		page.Answer = "This cannot be compared"
		return
	}
	if v.Event != nil {
		page.Sub = say(v.Event.Remark()) + ". "
	}
	if v.Chance.Code != "" {
		page.Sub += say(v.Chance)
	}
	for _, n := range v.Notes {
		if strings.HasPrefix(n.Code, "effect_also_") {
			page.Near = append(page.Near, say(n))
		} else {
			page.Notes = append(page.Notes, say(n))
		}
	}
	if len(v.Points) == 0 || v.At.IsZero() {
		return
	}
	side := func(name string, x effect.Side) ChartFact {
		f := ChartFact{name, plural(x.N, "value", "values") + " on " + plural(x.Days, "day", "days"), ""}
		if x.N > 0 {
			f.Means = "Level " + words.Quantity(fixed(x.Level, v.Decimals), v.Unit)
			if x.Bounded {
				f.Means += fmt.Sprintf(" (%s to %s)", words.Number(fixed(x.Low, v.Decimals)), words.Number(fixed(x.High, v.Decimals)))
			}
			f.Means += ", the mean over its days."
		}
		return f
	}
	page.Facts = []ChartFact{side("Before", v.Before), side("After", v.After)}
	if v.Answered {
		how := "Arrangements of the days, drawn, with a difference as large."
		if v.Exact {
			how = "All arrangements of the days, counted, with a difference as large."
		}
		page.Facts = append(page.Facts, ChartFact{"Chance", words.Thousands(v.Larger) + " of " + words.Thousands(v.Drawn), how})
		what := "Products are taken from their own means, and values far out are drawn in; the interval rests on days."
		if v.Log {
			what += " Compared on logarithms, since the value cannot go below zero."
		}
		page.Facts = append(page.Facts, ChartFact{"How", "day by day", what})
	}
	points := make([]levelPoint, len(v.Points))
	for i, p := range v.Points {
		points[i] = levelPoint{p.At, p.Serial, p.ItemID, p.Value, p.After}
	}
	first, last := v.Points[0].At, v.Points[len(v.Points)-1].At
	var lines []levelLine
	var bands []levelBand
	for _, x := range []struct {
		effect.Side
		from, to time.Time
		in       bool
	}{{v.Before, first, v.At, false}, {v.After, v.At, last, true}} {
		if x.N == 0 {
			continue
		}
		lines = append(lines, levelLine{x.from, x.to, x.Level, x.Level, x.in})
		if x.Bounded {
			bands = append(bands, levelBand{x.from, x.to, x.Low, x.High})
		}
	}
	page.Plot = s.levelPlot(english.Result(v.Result), v.Unit, v.Decimals, [2]string{"after", "before"}, points, lines, bands, v.At)
}

// measured lists the results of a specification that are numbers of a whole item.
func measured(spec models.Specification) []string {
	var out []string
	for _, c := range spec.Characteristics {
		if c.Form != models.Measured && c.Form != models.Counted {
			continue
		}
		for _, l := range c.Results {
			if !strings.HasPrefix(l.Result, "block_") {
				out = append(out, l.Result)
			}
		}
	}
	return out
}
